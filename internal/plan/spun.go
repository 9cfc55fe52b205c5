package plan

import (
	"context"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// spinSeen is wheelspin in one gear that the logs show and the model does not make:
// the clutch's bite at the launch and after shifts.
type spinSeen struct {
	times []float64 // s of it by pass in which the gear was used and the wheel speed known
	again again     // what they tell of the next pass
	// as it was run last:
	torque float64 // N·m, mean highest crank torque in the gear; 0 unknown
	use    float64 // 1, highest share of the available grip in the pull
}

// What is known of such wheelspin before any log, and passes that it is worth; and how its
// length repeats. Common practice, no source.
const (
	spinFirst, spinOther = 0.25, 0.005 // 0–1
	spinWorth            = 0.3         // a launch that spins does so nearly always
	spinRepeats          = 0.5         // of ln of its length, from pass to pass
	spinRepeatsWorth     = 3.0         // passes
	spinLeast            = 0.02        // s, a sample: what a log without any stands for
)

// learnSpin takes the wheelspin of each pass that its replay does not show.
func (s *search) learnSpin(ctx context.Context) {
	m := s.m
	n := len(m.Mean.Car.Ratios)
	s.spin = make([]spinSeen, n)
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
		for g, t := range seen {
			switch q := &s.spin[g]; {
			case math.IsNaN(t):
			case model[g] <= spinTime || bite[g] > spinTime:
				q.times = append(q.times, t) // less boost would not have held the tyres
			default:
				q.times = append(q.times, 0)
			}
		}
	}
	for g := range s.spin {
		prior := spinOther
		if g == 0 {
			prior = spinFirst
		}
		s.spin[g].again = repeats(s.spin[g].times, prior)
	}
}

// again is what passes run tell of wheelspin in the clutch's bite: where some had it, the
// mean and spread of the logarithm of its length over spinTime; else the chance alone.
type again struct{ mean, sd, chance float64 }

// extra is the chance, 0–1, of wheelspin in the bite with a torque, N·m, in the gear. Once
// the clutch has closed, tyres that spin are brought back by what grip has more than the
// engine asks, so that its length goes with 1/(1 − u) of the share u of the grip that is
// used, and its logarithm with u/(1 − u) of that of the torque.
func (q *spinSeen) extra(torque float64) float64 {
	if q.again.sd == 0 {
		return q.again.chance
	}
	less := 0.0
	if q.torque > 0 && torque > 0 {
		u := min(q.use, useMost)
		less = u / (1 - u) * min(0, math.Log(torque/q.torque))
	}
	return tail(-(q.again.mean + less) / math.Hypot(q.again.sd, lessDoubt*less))
}

const (
	useMost   = 0.95 // 1, of the grip: beyond it the tyres' fall after the peak decides
	lessDoubt = 0.5  // 1, of what less torque changes; not known
)

// repeats is what tells whether wheelspin lasts over spinTime once more, given how long, s,
// it lasted in the passes before: a long one is surer to come again than one that was just
// long enough, so that the count alone would say too little. The logarithm of its length is
// normal about the passes' mean, with a spread that the passes and what is known of it tell.
// Where no pass shows any, the count and what is known before it.
func repeats(times []float64, prior float64) again {
	n := float64(len(times))
	if n == 0 || slices.Max(times) <= 0 {
		return again{chance: spinWorth * prior / (n + spinWorth)}
	}
	mean, ss := 0.0, 0.0
	long := func(t float64) float64 { return math.Log(max(t, spinLeast) / spinTime) }
	for _, t := range times {
		mean += long(t) / n
	}
	for _, t := range times {
		ss += sq(long(t) - mean)
	}
	spread := math.Sqrt((spinRepeatsWorth*sq(spinRepeats) + ss) / (spinRepeatsWorth + n - 1))
	return again{mean: mean, sd: spread * math.Sqrt(1+1/n)}
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
