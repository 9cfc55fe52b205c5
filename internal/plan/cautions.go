package plan

import (
	"fmt"
	"strings"

	"traplight/internal/car"
	"traplight/internal/caution"
	"traplight/internal/quantity"
)

// Cautions are what must be said where one acts on the plan, a clause each. sheet may be nil;
// verdict is on the last pass, found what was inspected and found since, bold is a plan of
// more than one step.
func (p *Answer) Cautions(sheet *car.Sheet, verdict, found string, bold bool) []string {
	a := caution.Act{Sheet: sheet, Nitrous: p.Settings.Nitrous, New: len(p.New) > 0, Beyond: bold && len(p.New) > 0, Verdict: verdict, Found: found}
	if f := p.Forecast; f != nil {
		a.Top, a.Stop, a.ShutDown = f.TopP95, f.Stopping.P95, f.ShutDown
	}
	return a.Before()
}

// NitrousText says in a sentence what is set for nitrous.
func (s *Settings) NitrousText(w quantity.World) string {
	if !s.Nitrous {
		return "Nitrous: off."
	}
	where := "after every shift"
	if len(s.NitrousGears) > 0 {
		var g []string
		for _, k := range s.NitrousGears {
			g = append(g, fmt.Sprint(k))
		}
		where = "in gear " + strings.Join(g, ", ")
	}
	return fmt.Sprintf("Nitrous: armed %s, open while boost is more than %s below its target.", where, w.Pressure(s.Below*kpa))
}

// Mind are the notes of the plan that a person at the car needs, the longest of them
// left to the plan's text.
func (p *Answer) Mind() []string {
	var out []string
	for _, n := range p.Notes {
		if len(n) < 260 && len(out) < 6 {
			out = append(out, n)
		}
	}
	return out
}
