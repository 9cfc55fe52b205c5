package compare

import (
	"fmt"
	"math"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// Answer is a comparison as JSON, all SI; names end in their unit.
type Answer struct {
	Passes   []AnswerPass    `json:"passes"`
	Sections []AnswerSection `json:"sections"`
	Notes    []string        `json:"notes"`
}

// AnswerPass is one pass along the strip. The gaps are against the first pass.
type AnswerPass struct {
	Name      string    `json:"name"`
	DistanceM []float64 `json:"distance_m"` // m from where the car stood
	TimeS     []float64 `json:"time_s"`     // s from rollout
	SpeedMps  []float64 `json:"speed_mps"`  // m/s
	GapS      []float64 `json:"gap_s"`      // s, positive is behind
	GapMps    []float64 `json:"gap_mps"`    // m/s, positive is faster
	Gear      []int     `json:"gear"`       // 0 in a shift
}

// AnswerSection is the strip between two marks.
type AnswerSection struct {
	From  string       `json:"from"`
	To    string       `json:"to"`
	FromM float64      `json:"from_m"` // m
	ToM   float64      `json:"to_m"`   // m
	Parts []AnswerPart `json:"passes"` // in the order of the passes
}

// AnswerPart is one pass in one section.
type AnswerPart struct {
	TimeS     float64  `json:"time_s"`             // s spent in the section
	LostS     *float64 `json:"lost_s"`             // s more than the first pass
	LostSDS   *float64 `json:"lost_sd_s"`          // s
	SpeedMps  float64  `json:"speed_mps"`          // m/s at the section's end
	GapMps    *float64 `json:"gap_mps"`            // m/s over the first pass there
	GapSDMps  *float64 `json:"gap_sd_mps"`         // m/s
	BroughtS  *float64 `json:"brought_s"`          // s at the last mark that arose here, positive is lost
	BroughtV  *float64 `json:"brought_mps"`        // m/s at the last mark that arose here, positive is gained
	TorqueNm  *float64 `json:"mean_hub_torque_nm"` // N·m
	Slip      *float64 `json:"mean_slip"`          // ratio at full throttle
	BoostPa   *float64 `json:"mean_boost_pa"`      // Pa gauge
	Shifts    int      `json:"shifts"`
	ShiftS    float64  `json:"shift_s"`    // s of torque down in shifts begun here
	RecoveryS float64  `json:"recovery_s"` // s until boost was back after them
}

// Answer gives c as JSON has it.
func (c *Comparison) Answer() Answer {
	a := Answer{Passes: []AnswerPass{}, Sections: []AnswerSection{}, Notes: []string{}}
	for _, l := range c.Lines {
		n := len(l.Time)
		a.Passes = append(a.Passes, AnswerPass{l.Name, c.X[:n], l.Time, l.Speed, l.Gap, l.SpeedGap, l.Gear})
	}
	for _, s := range c.Sections {
		out := AnswerSection{From: s.From, To: s.To, FromM: s.FromX, ToM: s.ToX}
		for _, p := range s.Parts {
			k := AnswerPart{TimeS: p.Time, SpeedMps: p.Speed, BroughtS: p.TimeBrought, BroughtV: p.SpeedBrought, TorqueNm: p.Torque, Slip: p.Slip, BoostPa: p.Boost, Shifts: p.Shifts, ShiftS: p.ShiftTime, RecoveryS: p.Recovery}
			if p.Lost != nil {
				k.LostS, k.LostSDS = &p.Lost.Value, &p.Lost.SD
			}
			if p.Gained != nil {
				k.GapMps, k.GapSDMps = &p.Gained.Value, &p.Gained.SD
			}
			out.Parts = append(out.Parts, k)
		}
		a.Sections = append(a.Sections, out)
	}
	return a
}

// Sentences say, for each pass after the first, in the units of w, how far it was
// behind or ahead at the last mark that all reached, and, in a sentence of its own, where most of
// that arose.
func (c *Comparison) Sentences(w quantity.World) []string {
	if len(c.Sections) == 0 {
		return []string{"No mark was reached by all of these passes."}
	}
	last := c.Sections[len(c.Sections)-1]
	var out []string
	for i := 1; i < len(c.Lines); i++ {
		total, variance := 0.0, 0.0
		for _, s := range c.Sections {
			total += s.Parts[i].Lost.Value
		}
		variance = last.Parts[i].Lost.SD * last.Parts[i].Lost.SD
		sd := math.Sqrt(variance)
		n, spread, _ := w.Parts(quantity.DimTime, math.Abs(total), sd)
		way := "behind"
		if total < 0 {
			way = "ahead of"
		}
		if spread != "" {
			spread = " (± " + spread + ")"
		}
		text := fmt.Sprintf("%s was %s s%s %s %s at %s", first(c.Lines[i].Name), n, spread, way, c.Lines[0].Name, last.To)
		g := last.Parts[i].Gained
		v, vs, vu := w.Parts(quantity.DimSpeed, math.Abs(g.Value), g.SD)
		text += fmt.Sprintf(", and %s %s", v, vu)
		if vs != "" {
			text += " (± " + vs + ")"
		}
		out = append(out, text+" "+pace(g.Value)+" there.")
		if s := c.biggest(i, total); s != nil {
			p := s.Parts[i]
			d, _, _ := w.Parts(quantity.DimTime, math.Abs(*p.TimeBrought), p.Lost.SD)
			text := fmt.Sprintf("%s between %s and %s: %s s %s by %s", whereArose(*p.TimeBrought/total), s.From, s.To, d, lostOrGained(*p.TimeBrought), last.To)
			if why := c.why(s, i, w); why != "" {
				text += " (" + why + ")"
			}
			out = append(out, text+".")
		}
	}
	return out
}

// whereArose begins the sentence of the section that brought this share of a gap. Over 1 others
// took some of it back.
func whereArose(share float64) string {
	switch {
	case share > 1:
		return "All of it and more arose"
	case share > 0.5:
		return "Most of it arose"
	}
	return "The largest part of it arose"
}

// first is a name that begins a sentence; a file's keeps its case.
func first(name string) string {
	if name == "" || strings.ContainsAny(name, "._/") {
		return name
	}
	return prose.Upper(name)
}

// biggest is the section in which most of pass i's gap at the last mark, total, s,
// arose.
func (c *Comparison) biggest(i int, total float64) *Section {
	var best *Section
	for k := range c.Sections {
		s := &c.Sections[k]
		v := s.Parts[i].TimeBrought
		if v == nil || *v*total <= 0 {
			continue
		}
		if best == nil || math.Abs(*v) > math.Abs(*best.Parts[i].TimeBrought) {
			best = s
		}
	}
	return best
}
