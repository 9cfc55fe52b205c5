// Package caution says what must be minded where one acts on a figure. The wording is the
// project's own, after its notes on safety; every page, text and card takes it from here.
package caution

import (
	"strings"

	"traplight/internal/car"
)

// PlainY is the speed, m/s, at which the tyre speed symbol Y ends: 300 km/h (ISO 4000-1,
// ECE R30 annex 4).
const PlainY = 300 / 3.6

// Act is what is about to be done.
type Act struct {
	Sheet    *car.Sheet // nil not known
	Top      float64    // m/s, highest speed that must be reckoned with; 0 not known
	Stop     float64    // m after the line, what one pass in twenty needs to stop; 0 not known
	ShutDown float64    // m, what the strip has for that; 0 not stated
	Nitrous  bool       // armed
	New      bool       // a setting that was not run before
	Beyond   bool       // more than one step beyond what was run
	Unseen   bool       // the health of the last pass is not known here
	Verdict  string     // on the last pass, unless Unseen; "" it could not be judged
	Found    string     // what was inspected and found since; "" nothing
}

// Before are the cautions before a pass, a clause each, the most pressing first.
func (a Act) Before() []string {
	var c []string
	switch {
	case a.Unseen:
		c = append(c, "read the health of the last pass first: a failing engine can let go within seconds, and its oil lies under its own tyres")
	case a.Verdict != "clear":
		said := "could not be judged"
		if a.Verdict != "" {
			said = "was judged '" + a.Verdict + "'"
		}
		if a.Found != "" {
			said += "; inspected since: " + strings.TrimRight(a.Found, ". \n") + ". Only if that was the cause"
		} else {
			said += ": find out why before"
		}
		c = append(c, "the last pass "+said+" the car goes out; a failing engine can let go within seconds, and its oil lies under its own tyres")
	}
	if a.Beyond {
		c = append(c, "more than one step beyond what was run: nobody has seen how engine, clutch and gearbox take it; go there in steps, the plugs read and the log looked at after each")
	} else if a.New {
		c = append(c, "what was not run before: one step at a time, the plugs read and the log looked at after it")
	}
	c = append(c,
		"the log does not see wheel nuts, valve caps, hoses, tyres or metal in the oil: look by hand",
		"cross wind and gusts before a faster step: one that is new is not tried in them")
	return append(append(c, a.speed()...), a.always()...)
}

// speed is about tyres and the way to a stop.
func (a Act) speed() (c []string) {
	top := a.Top
	if top == 0 && a.Sheet != nil {
		top = a.Sheet.Target
	}
	if top > PlainY {
		c = append(c, "tyres: plain speed symbol Y ends at 300 km/h (186 mph); beyond it only the maker's written statement for that tyre, load and pressure counts")
	}
	switch {
	case a.ShutDown <= 0:
		c = append(c, "the strip's shut-down length was not given: compare the stopping distance with it before the pass")
	case a.Stop > 0.85*a.ShutDown:
		c = append(c, "the shut-down is nearly used up: brakes, parachute where the rules ask for one, and a clear track")
	}
	return c
}

func (a Act) always() (c []string) {
	if a.Nitrous {
		c = append(c, "nitrous is armed only after fuel flow has been proven; the bottle is under pressure: valve open slowly, body clear of the outlet")
	}
	if a.Sheet != nil && Alcohol(a.Sheet.Fuel) {
		c = append(c, "alcohol burns with a flame that daylight hides; vapour in a part-empty tank can be inside the flammable range: earth and bond when fuelling")
	} else {
		c = append(c, "fuel vapour burns: earth and bond when fuelling, no spark or hot part near, an extinguisher at hand")
	}
	return append(c,
		"work under the car on rated stands and level ground, straps on a rolling road: never on a jack alone",
		"the event's technical inspection, its rules and licensed practice come first; the driver may refuse any pass")
}

// Alcohol tells whether a fuel's name is one of alcohol or of a blend with it.
func Alcohol(fuel string) bool {
	fuel = strings.ToLower(fuel)
	for _, w := range []string{"methanol", "ethanol", "alcohol"} {
		if strings.Contains(fuel, w) {
			return true
		}
	}
	return len(fuel) > 1 && (fuel[0] == 'e' || fuel[0] == 'm') && strings.ContainsAny(fuel, "0123456789")
}
