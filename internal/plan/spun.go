package plan

import (
	"context"
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// spinSeen is wheelspin in one gear that begins with it: the clutch's bite at the launch and
// after shifts, which the model does not make.
type spinSeen struct {
	again []again // what the passes tell of the next one, by member of the ensemble
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
	launchRepeats        = 0.10        // s, of its length at the launch, from pass to pass, with the weight of three
	launchNone           = -0.03       // s, what a launch without any stands for: it was not far from some
)

// learnSpin takes each pass's slip, gear by gear, against the peak of each member's tyres: at
// which slip they carry most is known to so much only, and a car that pulls close to it is past
// it by one member and short of it by another.
func (s *search) learnSpin(ctx context.Context) {
	m := s.m
	n := len(m.Mean.Car.Ratios)
	s.spin, s.slid = make([]spinSeen, n), make([][]slid, len(m.Passes))
	times := make([]float64, 0, len(m.Passes))
	for k := range m.Passes {
		s.slid[k] = make([]slid, 0, n*len(m.Members))
		for j := range m.Members {
			s.slid[k] = append(s.slid[k], slides(m.Passes[k].Obs, &m.Members[j], n)...)
		}
	}
	for g := range n {
		prior := spinOther
		if g == 0 {
			prior = spinFirst
		}
		for j := range m.Members {
			times = times[:0]
			for k := range m.Passes {
				if q := &s.slid[k][j*n+g]; m.Passes[k].Weight >= 0.5 && q.used {
					times = append(times, q.first)
				}
			}
			if g == 0 {
				s.spin[g].again = append(s.spin[g].again, launches(times, prior))
			} else {
				s.spin[g].again = append(s.spin[g].again, repeats(times, prior))
			}
		}
	}
}

// again is what passes run tell of wheelspin in the clutch's bite: where some had it, the
// mean and spread of the logarithm of its length over spinTime, at the launch (even) of its
// length, s; else the chance alone.
type again struct {
	mean, sd, chance float64
	even             bool
}

// extra is the chance, 0–1, of wheelspin in the bite with a torque, N·m, in the gear. Once
// the clutch has closed, tyres that spin are brought back by what grip has more than the
// engine asks, so that its length goes with 1/(1 − u) of the share u of the grip that is
// used, and its logarithm with u/(1 − u) of that of the torque.
func (q *spinSeen) extra(torque float64) float64 {
	less := 0.0
	if q.torque > 0 && torque > 0 {
		u := min(q.use, useMost)
		less = u / (1 - u) * min(0, math.Log(torque/q.torque))
	}
	sum := 0.0
	for _, a := range q.again {
		switch {
		case a.sd == 0:
			sum += a.chance
		case a.even:
			long := max(0, a.mean) * math.Exp(less)
			sum += tail((spinTime - min(a.mean, long)) / math.Hypot(a.sd, lessDoubt*less*long))
		default:
			sum += tail(-(a.mean + less) / math.Hypot(a.sd, lessDoubt*less))
		}
	}
	return sum / float64(max(1, len(q.again)))
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

// launches is repeats of the launch. How long its wheelspin lasts goes with how far foot and clutch
// go beyond what the tyres carry, so that it scatters by so many hundredths whatever its length: one
// of half a second comes again, one of a tenth may not, and none may be followed by some.
func launches(times []float64, prior float64) again {
	n := float64(len(times))
	if n == 0 || slices.Max(times) <= 0 {
		return again{chance: spinWorth * prior / (n + spinWorth)}
	}
	var q scatter
	for _, t := range times {
		if t <= 0 {
			t = launchNone
		}
		q.add(t)
	}
	spread := math.Sqrt((spinRepeatsWorth*sq(launchRepeats) + q.rest()) / (spinRepeatsWorth + n - 1))
	return again{mean: q.mean(), sd: spread * math.Sqrt(1+1/n), even: true}
}

// slid is how the driven tyres slipped at full throttle in one gear of a logged pass.
type slid struct {
	used    bool    // the gear was used, and the wheel speed known
	first   float64 // s past the peak from the gear's beginning, until the tyres first held
	lasting float64 // ln slip over that of the peak which was exceeded for sim.Lasts in all after that; −∞ if it ended before
}

// bitten is how long, s, after a shift a clutch's bite may begin to spin the tyres.
const bitten = 0.15

// slides are the slips of each gear (from 0) of a logged pass against the peak of m's tyres, from m's zero of slip.
func slides(o *fitcar.Observation, m *fitcar.Member, gears int) []slid {
	out := make([]slid, gears)
	ratio := make([][]float64, gears) // ln slip over the peak's, once the tyres have held
	free := make([][]float64, gears)  // the same while they have not
	began, held := make([]float64, gears), make([]bool, gears)
	peak := m.Car.Tyre.Peaks()
	next, g := 0, 0
	if len(o.Shifts) > 0 {
		g = o.Shifts[0].From - 1
	}
	for i := range o.X {
		at := o.T0 + float64(i)*o.Step
		// a gear lasts to the end of the shift: the clutch may slip on after it
		for next < len(o.Shifts) && at >= o.Shifts[next].End {
			g = o.Shifts[next].To - 1
			next++
		}
		w := o.Wheel[i]
		if g < 0 || g >= gears || !o.Full[i] || o.V[i] < 3 || math.IsNaN(w) {
			continue
		}
		q := &out[g]
		if !q.used {
			q.used, began[g] = true, at
		}
		r := o.Radius * (1 + o.Growth*o.V[i]*o.V[i])
		along := 0.0
		if o.Length > 0 {
			along = o.X[i] / o.Length
		}
		zero := m.SlipZero[0]*(1-along) + m.SlipZero[1]*along
		slip := ((w*r-o.V[i])/o.V[i] - zero) / peak.Slip(o.V[i])
		past := slip > 1
		l := math.Log(max(slip, 1e-3))
		if held[g] {
			ratio[g] = append(ratio[g], l)
			continue
		}
		if i > o.Lock+closing {
			free[g] = append(free[g], l)
		}
		switch {
		case past:
			q.first += o.Step
		case (g > 0 || i > o.Lock+closing) && (q.first > 0 || at > began[g]+bitten):
			held[g] = true
		}
	}
	for g := range out {
		if !held[g] { // no bite lasts as long: the pull keeps them past the peak, or it is too short to tell
			ratio[g] = free[g]
			if g > 0 {
				out[g].first = 0
			}
		}
		out[g].lasting = lastingOf(ratio[g], o.Step)
	}
	return out
}

// closing is how many samples after the launch clutch has closed its bite still acts.
const closing = 5

// lastingOf is what x, one value a step, s, exceeded for sim.Lasts in all, each being the mean
// of three for the noise of wheel speeds; −∞ where it was shorter.
func lastingOf(x []float64, step float64) float64 {
	need := sim.Lasts / step
	if float64(len(x)-2) < need+1 {
		return math.Inf(-1)
	}
	y := make([]float64, len(x)-2)
	for i := range y {
		y[i] = (x[i] + x[i+1] + x[i+2]) / 3
	}
	slices.Sort(y)
	u := float64(len(y)) - need
	i := int(u)
	return y[i] + (u-float64(i))*(y[min(i+1, len(y)-1)]-y[i])
}

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
