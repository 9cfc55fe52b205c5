package plan

import (
	"fmt"
	"strings"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

// Cautions are what must be said where one acts; figures and wording after the
// project's notes on safety. sheet may be nil.
func (p *Answer) Cautions(sheet *car.Sheet) []string {
	c := []string{
		"the log does not see wheel nuts, valve caps, hoses, tyres or metal in the oil: look by hand",
		"cross wind and gusts before a faster step: one that is new is not tried in them",
	}
	if f := p.Forecast; f != nil {
		if f.TopP95 > 300/3.6 {
			c = append(c, "tyres: plain speed symbol Y ends at 300 km/h (186 mph); beyond it only the maker's written statement for that tyre, load and pressure counts")
		}
		switch {
		case f.ShutDown <= 0:
			c = append(c, "the strip's shut-down length was not given: compare the stopping distance with it before the pass")
		case f.Stopping.P95 > 0.85*f.ShutDown:
			c = append(c, "the shut-down is nearly used up: brakes, parachute where the rules ask for one, and a clear track")
		}
	}
	if p.Settings.Nitrous {
		c = append(c, "nitrous is armed only after fuel flow has been proven; the bottle is under pressure: valve open slowly, body clear of the outlet")
	}
	if sheet != nil && alcohol(sheet.Fuel) {
		c = append(c, "alcohol burns with a flame that daylight hides; vapour in a part-empty tank can be inside the flammable range: earth and bond when fuelling")
	}
	return append(c,
		"work under the car on rated stands and level ground, straps on a rolling road: never on a jack alone",
		"the event's technical inspection, its rules and licensed practice come first; the driver may refuse any pass")
}

func alcohol(fuel string) bool {
	fuel = strings.ToLower(fuel)
	for _, w := range []string{"methanol", "ethanol", "alcohol"} {
		if strings.Contains(fuel, w) {
			return true
		}
	}
	return strings.HasPrefix(fuel, "e") && strings.ContainsAny(fuel, "0123456789")
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
