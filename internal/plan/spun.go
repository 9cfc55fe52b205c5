package plan

import (
	"context"
	"math"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// spinSeen is wheelspin in one gear that the logs show and the model does not make:
// the clutch's bite at the launch and after shifts.
type spinSeen struct {
	passes int     // in which the gear was used and the wheel speed known
	seen   int     // of them with slip past the peak
	extra  float64 // 0–1, chance of it where the model sees none
}

// What is known of such wheelspin before any log, and passes that it is worth;
// common practice, no source.
const (
	spinFirst, spinOther = 0.25, 0.005 // 0–1
	spinWorth            = 0.3         // a launch that spins does so nearly always
)

// learnSpin counts the passes with wheelspin that their replay does not show.
func (s *search) learnSpin(ctx context.Context) {
	m := s.m
	n := len(m.Mean.Car.Ratios)
	s.spin = make([]spinSeen, n)
	missed := make([]float64, n)
	for k := range m.Passes {
		if m.Passes[k].Weight < 0.5 || ctx.Err() != nil {
			continue
		}
		seen, bite := spun(m.Passes[k].Obs, m.PeakSlip.Value, n)
		model := make([]float64, n)
		if car, p := m.Replay(&m.Mean, k); car != nil {
			r := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
			if res, err := r.Run(p); err == nil {
				for _, g := range res.Gears {
					model[g.Gear-1] = g.PastPeak
				}
			}
		}
		for g := range seen {
			if math.IsNaN(seen[g]) {
				continue
			}
			q := &s.spin[g]
			q.passes++
			if seen[g] > spinTime {
				q.seen++
				if model[g] <= spinTime || bite[g] > spinTime {
					missed[g]++ // less boost would not have held the tyres
				}
			}
		}
	}
	for g := range s.spin {
		q := &s.spin[g]
		prior := spinOther
		if g == 0 {
			prior = spinFirst
		}
		q.extra = (missed[g] + spinWorth*prior) / (float64(q.passes) + spinWorth)
	}
}

// spun is the time, s, at full throttle with the tyres slipping past their peak in
// each gear (from 0) of a logged pass; a gear that was not used, or whose wheel
// speed is not known, has NaN. bite is the part of it until the launch clutch has closed.
func spun(o *fitcar.Observation, peak float64, gears int) (out, bite []float64) {
	out, bite = make([]float64, gears), make([]float64, gears)
	for g := range out {
		out[g] = math.NaN()
	}
	next := 0
	g := 0
	if len(o.Shifts) > 0 {
		g = o.Shifts[0].From - 1
	}
	for i := range o.X {
		// a gear lasts to the end of the shift: the clutch may slip on after it
		for next < len(o.Shifts) && o.T0+float64(i)*o.Step >= o.Shifts[next].End {
			g = o.Shifts[next].To - 1
			next++
		}
		w := o.Wheel[i]
		if g < 0 || g >= gears || !o.Full[i] || o.V[i] < 3 || math.IsNaN(w) {
			continue
		}
		if math.IsNaN(out[g]) {
			out[g] = 0
		}
		r := o.Radius * (1 + o.Growth*o.V[i]*o.V[i])
		if (w*r-o.V[i])/o.V[i] > peak {
			out[g] += o.Step
			if i <= o.Lock+closing {
				bite[g] += o.Step
			}
		}
	}
	return out, bite
}

// closing is how many samples after the launch clutch has closed its bite still acts.
const closing = 5

// How much likelier wheelspin in the clutch's bite becomes for each share of torque
// beyond what was run; common practice, no source.
const bolderFirst, bolderOther = 1.5, 0.5 // 1

// bolder is the chance, 0–1, of wheelspin in gear g (from 0) that boost beyond what was
// run adds at the launch or after the shift, where the model has no clutch. use is the
// highest share, 1, of the available grip in the pull: where the tyres have plenty left
// a bite does not break them loose.
func (s *search) bolder(x settings, g int, use float64) float64 {
	baro := s.base.Air.Pressure
	rise := (x.boost[g]+baro)/(s.ran.boost[g]+baro) - 1
	k := bolderOther * max(0, min(1, (use-0.75)/0.2))
	if g == 0 {
		k = bolderFirst
	}
	return min(1, max(0, k*rise))
}
