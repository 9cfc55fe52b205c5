package reconstruct

import (
	"math"

	"traplight/internal/num/localfit"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// power finds the peak wheel power: the highest mean over 0.1 s at full throttle,
// at least 0.5 s after a shift. A quadratic through ±0.3 s stands for the mean, so
// that noise is not what peaks.
func (k *work) power() {
	n := k.g.n
	pw := make([]float64, n)
	ts := make([]float64, n)
	ok := make([]bool, n)
	for i := range pw {
		ts[i] = k.g.at(i)
		om := k.omega[i]
		if math.IsNaN(om) {
			om = k.g.v[i] / k.b.RadiusAt(k.g.v[i])
		} else if k.d.hasWheel && !k.d.scaled {
			om = om * k.curve.Radius.Value / k.b.Radius
		}
		pw[i] = k.hub[i] * om
		ok[i] = k.d.full[i] && ts[i] > k.w.launch+0.5 && !k.d.blind(ts[i]) && !k.beyond[i]
		for j := range k.d.shifts {
			e := k.d.shifts[j].end()
			if ts[i] >= k.d.shifts[j].start()-0.05 && ts[i] < e+0.5 {
				ok[i] = false
			}
		}
	}
	best, at := 0.0, -1
	for i := 30; i+30 < n; i++ {
		whole := true
		for j := i - 5; j <= i+5; j++ {
			whole = whole && ok[j]
		}
		if !whole {
			continue
		}
		// the window may not reach into what is not full throttle
		lo, hi := i, i
		for lo > i-30 && ok[lo-1] {
			lo--
		}
		for hi < i+30 && ok[hi+1] {
			hi++
		}
		v, _, good := localfit.Quadratic(ts[lo:hi+1], pw[lo:hi+1], ts[i], 0.31)
		if good && v > best {
			best, at = v, i
		}
	}
	if at < 0 {
		k.p.Notes = append(k.p.Notes, "no peak power: no full throttle half a second after a shift")
		return
	}
	sum := 0.0
	for _, part := range k.parts {
		sum += sq(part[at] / k.hub[at])
	}
	// at its middle the quadratic knows as much as a plain mean over 0.25 s
	sum += sq(k.b.Mass * k.b.Radius * k.w.res.SpeedChangeSD(ts[at]-0.125, ts[at]+0.125) / 0.25 / k.hub[at])
	rel := math.Sqrt(sum)
	pp := &pass.Power{PeakWheel: quantity.Estimate{Value: best, SD: best * rel}, EngineSpeed: k.g.engine[at], At: ts[at], Gear: k.d.gearAt(ts[at])}
	if g := pp.Gear; g > 0 && !math.IsNaN(k.g.dEngine[at]) {
		eff := 1 - k.sheet.LossShare.Value
		spin := k.sheet.EngineInertia.Value * k.g.engine[at]
		_, slope, _ := localfit.Quadratic(ts, k.g.engine, ts[at], 0.2)
		c := best/eff + spin*slope
		pp.Crank = estimate(c, math.Sqrt(sq(best/eff*math.Hypot(rel, k.sheet.LossShare.SD/eff))+sq(k.sheet.EngineInertia.SD*k.g.engine[at]*slope)))
	}
	k.p.Power = pp
}
