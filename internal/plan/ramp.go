package plan

import (
	"context"
	"fmt"
	"math"

	"traplight/internal/forecast"
	"traplight/internal/quantity"
	"traplight/internal/sim"
)

// Ramp is boost by engine speed within a gear: from one figure where the gear begins
// to another where it ends, nearly even in between. It is a further step, not part of the
// settings by gear, for a computer that can do it.
type Ramp struct {
	Gear int        `json:"gear"`
	RPM  [2]float64 `json:"rpm"`       // rpm
	KPa  [2]float64 `json:"boost_kpa"` // kPa gauge
	Gain float64    `json:"gain_mps"`  // m/s of expected trap speed over the settings by gear
}

// Text is the ramp as a sentence.
func (r *Ramp) Text(w quantity.World) string {
	return fmt.Sprintf("Boost by engine speed in gear %d, if the computer can: %s at %.0f rpm rising to %s at %.0f rpm (%s expected).", r.Gear,
		w.Pressure(r.KPa[0]*kpa), r.RPM[0], w.Pressure(r.KPa[1]*kpa), r.RPM[1], w.Signed(quantity.DimSpeed, r.Gain, gainDoubt))
}

const (
	rampStep  = 10e3 // Pa by which a ramp rises at the end of its gear
	rampMost  = 30e3 // Pa
	gainDoubt = 0.2  // m/s, of a gain that is the mean over few members
	rampGain  = 0.05 // m/s, below which a ramp is not worth a word
)

// ramps looks, in gears that grip holds, for boost that rises over engine speed: late
// in a gear the tyres may carry what they do not carry where it begins. Each is tried
// alone, over the members of the fit with the driver's means, and only within what the
// sheet allows and one step of torque.
func (s *search) ramps(ctx context.Context, x settings, v verdict) []Ramp {
	var out []Ramp
	base, was := s.ramped(x, 0, 0)
	for g := range x.boost {
		if ctx.Err() != nil || s.hold || v.gears[g].pull < 0.6*s.opt.Risk || g == 0 {
			continue
		}
		best := Ramp{}
		for rise := rampStep; rise <= rampMost; rise += rampStep {
			top := x.boost[g] + rise
			if top > s.upper[g] {
				break
			}
			trap, now := s.ramped(x, g, rise)
			if now.spun[g] > was.spun[g] || trap-base < max(rampGain, best.Gain) {
				break
			}
			best = Ramp{Gear: g + 1, RPM: [2]float64{round10(now.from[g]), round10(now.to[g])},
				KPa: [2]float64{math.Round(x.boost[g] / 1e3), math.Round(top / 1e3)}, Gain: round3(trap - base)}
		}
		if best.Gear > 0 {
			out = append(out, best)
		}
	}
	return out
}

// rampRun is what members did: how many spun past the peak by gear, and the engine
// speeds, rpm, between which a gear lasts.
type rampRun struct {
	spun     []int
	from, to []float64
}

// ramped is the mean trap speed, m/s, over the members with a rise, Pa, in gear g (from 0).
func (s *search) ramped(x settings, g int, rise float64) (float64, rampRun) {
	n := len(x.boost)
	r := rampRun{make([]int, n), make([]float64, n), make([]float64, n)}
	sum, of := 0.0, 0.0
	for k := range s.m.Members {
		car, p := forecast.Usual(s.m, s.next(x), &s.m.Members[k])
		p.TargetRise = make([]float64, n)
		p.TargetRise[g] = rise
		run := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
		res, err := run.Run(p)
		if err != nil || !res.Complete {
			continue
		}
		s.count++
		sum, of = sum+res.Trap, of+1
		for _, q := range res.Gears {
			if q.PastPeak > spinTime {
				r.spun[q.Gear-1]++
			}
			r.from[q.Gear-1], r.to[q.Gear-1] = q.Speed0*30/math.Pi, q.Speed1*30/math.Pi
		}
	}
	if of == 0 {
		return math.Inf(-1), r
	}
	return sum / of, r
}

func round10(x float64) float64 { return math.Round(x/10) * 10 }
