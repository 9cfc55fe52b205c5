package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// An engine that loses a share of its fires from 6 s on sends the air of those that fail past
// the lambda sensor, whose first-order answer takes 0.1 s, and gives so much less torque; a
// sensor that flickers by itself moves no torque, nor does rough torque move a mixture.
func TestMisfiresFlickerInMixtureAndTorque(t *testing.T) {
	for _, c := range []struct {
		name          string
		fires         float64 // 1, share that fails in a fifth of a second in which any do
		sensor, rough float64 // standard deviation of lambda's own noise, and of torque's, 1
		two           bool    // another sensor reads the same exhaust
		want          bool
	}{
		{"healthy", 0, 0.002, 0.01, false, false},
		{"healthy, two sensors", 0, 0.002, 0.01, true, false},
		{"fires that fail", 0.12, 0.002, 0.01, false, true},
		{"a few fires that fail", 0.032, 0.001, 0.02, false, false},
		{"a few fires that fail, two sensors", 0.032, 0.001, 0.02, true, true},
		{"a noisy sensor", 0, 0.05, 0.01, false, false},
		{"a noisy sensor of two", 0, 0.05, 0.01, true, false},
		{"rough torque", 0, 0.002, 0.06, false, false},
	} {
		r := rand.New(rand.NewPCG(5, 6))
		torque := map[int]float64{}
		gone, lambda, lastT := 0.0, 0.8, math.Inf(-1)
		loss, noise := map[int]float64{}, 0.0
		exhaust := map[float64]float64{}
		chs := []func(t, speed, boost float64) float64{func(t, _, _ float64) float64 {
			if k := int(math.Floor(t / 0.2)); float64(k) != lastT {
				lastT, gone, noise = float64(k), 0, c.sensor*r.NormFloat64()
				if t > 6 && r.Float64() < 0.4 {
					gone = c.fires
				}
				loss[k] = gone
			}
			lambda += (0.8/(1-gone) - lambda) * cell / 0.1
			exhaust[t] = lambda
			return lambda + noise
		}, func(t, _, _ float64) float64 { return exhaust[t] }}
		if !c.two {
			chs = chs[:1]
		}
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{
			quantity.AccelerationLong: {func(t, _, _ float64) float64 { return 5 }},
			quantity.Lambda:           chs,
		})
		f := j.frame
		f.pass = &pass.Pass{Force: &pass.Force{}}
		f.slip, f.cut, f.boostRate = make([]float64, f.n), make([]bool, f.n), make([]float64, f.n)
		for i, at := range f.t {
			k := int(math.Floor(at / 0.2))
			if _, ok := torque[k]; !ok {
				torque[k] = c.rough * r.NormFloat64()
			}
			f.crank = append(f.crank, 0.004*(f.boost[i]+f.baro)*(1-loss[k])*(1+torque[k]))
		}
		j.misfires()
		if got := len(j.obs) > 0; got != c.want {
			k, ok := f.flickers()
			t.Errorf("%s: told %v, want %v: %+v %v", c.name, got, c.want, k, ok)
		}
		if c.want && len(j.obs) > 0 && math.Abs(j.obs[0].start-6) > 1 {
			t.Errorf("%s: from %.1f s, want 6", c.name, j.obs[0].start)
		}
		b := []broken{{channel: &dictionary.Channel{Quantity: quantity.Lambda}, mode: "noisy"}, {channel: &dictionary.Channel{Quantity: quantity.OilPressure}, mode: "noisy"}}
		want := 2
		if c.want {
			want = 1
		}
		if got := restlessEngine(b, func() *frame { return f }); len(got) != want {
			t.Errorf("%s: %d sensors doubted, want %d", c.name, len(got), want)
		}
	}
}
