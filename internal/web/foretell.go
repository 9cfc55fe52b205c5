package web

import (
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/store"
)

// plansOf are the forecasts whose pass has not been run.
func (s *Server) plansOf(r *http.Request, forecasts []store.Forecast, all []store.Pass) (out []planLine) {
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
		words := a.Sentence(w) + "."
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

// plannedLine tells of a pass that the notes plan and nobody has forecast yet.
func plannedLine(p *car.Planned) string {
	if p.Change == "" {
		return "planned in the notes, not forecast yet."
	}
	return "planned in the notes, not forecast yet: " + strings.TrimSuffix(p.Change, ".") + "."
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

// percent prints a chance, 0–1, as every face does, on one line.
func percent(p float64) string { return strings.ReplaceAll(forecast.Percent(p), " ", "\u00a0") }

func or(v *float64) float64 {
	if v == nil {
		return 0
	}
	return *v
}
