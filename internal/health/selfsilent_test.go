package health

import (
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// A reading that the reader found stuck and left out, and one that ends or pauses while the
// others go on, are findings; a recorder that misses a stretch of all is none.
func TestLeftOutReadingsAreTold(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	without := func(c *dictionary.Channel, from, to float64) {
		var x, y []float64
		for i, at := range c.Trace.T {
			if at < from || at > to {
				x, y = append(x, at), append(y, c.Trace.V[i])
			}
		}
		c.Trace.T, c.Trace.V = x, y
	}
	for _, c := range []struct {
		name     string
		from, to float64 // s, readings missing
		stuck    bool    // told so by the reader
		mode     string  // wanted
	}{
		{"stuck to the end", 12, 30, true, "stuck"},
		{"stuck for a moment", 12, 12.8, true, ""},
		{"ends", 12, 30, false, silently},
		{"pauses", 9, 11.5, false, silently},
		{"pauses shortly", 9, 10, false, ""},
		{"ends after the lift", 19.5, 30, false, ""},
	} {
		ch := signal(r, 2500, 500)
		without(ch, c.from, c.to)
		if c.stuck {
			ch.Stuck = []dictionary.Span{{From: c.from, To: c.to}}
		}
		got := check(ch, 2500)
		switch {
		case c.mode == "" && len(got) > 0:
			t.Errorf("%s: %+v", c.name, got)
		case c.mode != "" && (len(got) != 1 || got[0].mode != c.mode || got[0].from < c.from-0.05 || got[0].from > c.from+0.05):
			t.Errorf("%s: %+v, want %s from %.2f s", c.name, got, c.mode, c.from)
		}
	}
	var all []dictionary.Channel
	for _, q := range []quantity.Name{quantity.OilPressure, quantity.FuelPressure, quantity.CoolantPressure, quantity.BatteryVoltage} {
		ch := signal(r, 2500, 500)
		ch.Quantity, ch.Name = q, string(q)
		without(ch, 9, 12)
		all = append(all, *ch)
	}
	if got := selfCheck(&dictionary.Set{Channels: all}, span(), nil); len(got) != 0 {
		t.Errorf("a recorder's pause condemns %+v", got)
	}
}
