package web

import (
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// plansOf are the forecasts whose pass has not been run.
func (s *Server) plansOf(ctx context.Context, r *http.Request, forecasts []store.Forecast, all []store.Pass) (out []planLine) {
	for i := len(forecasts) - 1; i >= 0; i-- {
		f := forecasts[i]
		if slices.ContainsFunc(all, func(p store.Pass) bool { return p.NoteKey == f.Planned }) ||
			slices.ContainsFunc(out, func(l planLine) bool { return l.Car == f.Car }) {
			continue
		}
		var a forecast.Answer
		if json.Unmarshal(f.Body, &a) != nil {
			continue
		}
		w := s.world(r, f.Car)
		words := foretell(w, a)
		var c struct {
			Left  int     `json:"passes_left"`
			Today float64 `json:"chance_in_passes_left"`
		}
		if json.Unmarshal(f.Body, &c) == nil && c.Left > 1 && c.Today > 0 {
			words = strings.TrimSuffix(words, ".") + fmt.Sprintf(", in the %d passes left today %s.", c.Left, percent(c.Today))
		}
		out = append(out, planLine{f.Car, f.Planned, words})
	}
	return out
}

// aimLine says what the car is to reach and how near it came, where no pass to come is set.
func (s *Server) aimLine(r *http.Request, name string, all []store.Pass) string {
	line := "nothing is set yet."
	sheet, err := s.shop.sheet(r.Context(), name)
	if err != nil || !(sheet.Target > 0) {
		return line // without a target there is nothing to aim at
	}
	best, sd := 0.0, 0.0
	for _, p := range all {
		if p.Car == name && p.Complete && or(p.TrapSpeed) > best {
			best, sd = or(p.TrapSpeed), or(p.TrapSpeedSD)
		}
	}
	w := s.world(r, name)
	return fmt.Sprintf("%s The aim is %s, the best so far %s; the chance of it stands here once the pass is set.", line, w.Stated(quantity.DimSpeed, sheet.Target), w.Rounded(quantity.DimSpeed, best, sd))
}

// foretell puts a forecast into one sentence.
func foretell(w quantity.World, a forecast.Answer) string {
	low, _, _ := w.Parts(quantity.DimSpeed, a.Trap.P05, a.Trap.SD)
	high, _, _ := w.Parts(quantity.DimSpeed, a.Trap.P95, a.Trap.SD)
	t := fmt.Sprintf("%s at the trap, nine times in ten between %s and %s", w.Rounded(quantity.DimSpeed, a.Trap.P50, a.Trap.SD), low, high)
	if a.Target != nil {
		t += fmt.Sprintf("; the chance of %s is %s", w.Stated(quantity.DimSpeed, a.Target.Speed), percent(a.Target.Chance))
	}
	return t + "."
}

// percent prints a chance, 0–1, without claiming certainty.
func percent(p float64) string {
	switch {
	case p < 0.01:
		return "under 1\u00a0%"
	case p > 0.99:
		return "over 99\u00a0%"
	}
	return fmt.Sprintf("%.0f\u00a0%%", 100*p)
}

func or(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
