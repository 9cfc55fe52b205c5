package health

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

// A pass without a thermometer for its charge has a temperature assumed: what hangs on the
// air is held against passes of which the same is true only, and with twice the noise.
func TestAssumedChargeIsNoMeasureForAMeasuredOne(t *testing.T) {
	injectors := func(assumed bool) *look {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{quantity.InjectorDuty: {func(t, speed, boost float64) float64 { return 0.3 + boost/1e6 }}})
		j.frame.chargeSupposed, j.frame.nitrous = assumed, make([]float64, j.frame.n)
		j.frame.sheet, j.frame.boostRate = &car.Sheet{}, rate(j.frame.boost, 4)
		j.frame.fuelIs, j.frame.ethanol, _ = j.frame.blendOf()
		w := &watcher{frame: j.frame}
		w.fuel()
		for _, l := range w.looks {
			if l.id == "injectors over air" {
				return l
			}
		}
		t.Fatal("injectors are not watched")
		return nil
	}
	measured, assumed := injectors(false), injectors(true)
	if assumed.noise != 2*measured.noise {
		t.Errorf("noise %.3g and %.3g", measured.noise, assumed.noise)
	}
	for _, c := range []struct {
		now, then *look
		want      bool
	}{{measured, measured, true}, {assumed, assumed, true}, {measured, assumed, false}, {assumed, measured, false}} {
		d := c.then.digestRows(c.then.rows)
		if got := c.now.alikeFed(d); got != c.want {
			t.Errorf("%q held against %q: %v", c.now.from(), d.From, got)
		}
	}
}
