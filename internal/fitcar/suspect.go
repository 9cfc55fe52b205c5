package fitcar

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// How passes on which something was wrong, or may have been, count beside sound ones.
const (
	// fewAlone is the weight of a pass that the crew calls no good where there is no sound one:
	// it tells more of this car than no pass.
	fewAlone = 0.25
	// besideSound is their weight beside sound ones, 1: enough to tell of speeds and boost that
	// those did not come to, too little to pull where they did. Common practice, no source.
	besideSound = 0.03
	// soundWeight is the weight from which a pass teaches what has no weights.
	soundWeight = 0.3
	// passScatter is by how much replays of sound passes scatter about one car, 1 of the trap
	// speed, wind included; measured, see docs/forecast.md.
	passScatter = 0.0028
	// pullScatter is the same of the torque of a pass's gears together, 1: thrice, for speed goes
	// with the cube root of power, and a little for the shifts. Common practice, no source.
	pullScatter = 0.01
	// A pass with a finding is taken for sound all the same where it is slower than the sound
	// ones by less than suspectSlow of that scatter, or theirs where that is more, and, where what was found may have made it
	// faster, faster by less than suspectFar. Where all have a finding it is slower than the one
	// in their middle by less than suspectFar. Faults cost speed. Common practice, no source.
	suspectSlow, suspectFar = 1.0, 2.5
	// mayHelp is the finding that may have made a pass faster.
	mayHelp = "overboost"
)

// suspect tells that the pass was, or may have been, one of a car that was not well.
func (o *Observation) suspect() bool { return !o.Good || o.Finding != "" }

// whole tells that the pass came to the line at full throttle.
func (o *Observation) whole() bool { return o.Complete && !math.IsNaN(o.Trap) && !o.Lifted() }

// firstWeights are how much the passes count before any has been held against the others.
func firstWeights(obs []*Observation) []float64 {
	w := make([]float64, len(obs))
	sound := slices.ContainsFunc(obs, func(o *Observation) bool { return !o.suspect() && o.whole() })
	for i, o := range obs {
		switch {
		case o.suspect() && sound:
			w[i] = besideSound
		case !o.Good:
			w[i] = fewAlone
		default:
			w[i] = 1 // where all have a finding they are held against each other
		}
	}
	return w
}

// ran is how a pass ran against the fitted car, 1: at the trap, and of the torque in its gears.
type ran struct{ trap, pull float64 }

// acquit holds passes with a finding against the sound ones: a pass that ran as they did counts
// in full, whatever was found. Where all have one the faster half stands for them, and what is
// slower loses its weight. True when some weight changed.
func (m *Model) acquit(obs []*Observation, weights []float64, f *fitted) (changed bool) {
	if len(obs) < 2 || !slices.ContainsFunc(obs, func(o *Observation) bool { return o.Good && o.Finding != "" }) {
		return false
	}
	all := make([]ran, len(obs))
	var sound, found []ran
	for i, o := range obs {
		all[i] = ran{f.Residual[i] / o.Trap, f.pull(i)}
		switch {
		case math.IsNaN(all[i].trap), math.IsNaN(all[i].pull): // given up, or lifted
		case !o.suspect():
			sound = append(sound, all[i])
		case o.Good:
			found = append(found, all[i])
		}
	}
	if len(sound)+len(found) == 0 {
		return false
	}
	usual, scatter, slow := middle(sound), scatterOf(sound), suspectSlow*math.Sqrt(1+1/float64(max(1, len(sound))))
	if len(sound) == 0 {
		usual, slow = middle(found), suspectFar
	}
	for i, o := range obs {
		if !o.Good || o.Finding == "" {
			continue
		}
		now := besideSound
		trap, pull := (all[i].trap-usual.trap)/scatter.trap, (all[i].pull-usual.pull)/scatter.pull
		switch { // one of them tells, where it must
		case math.IsNaN(trap):
			trap = pull
		case math.IsNaN(pull):
			pull = trap
		}
		if trap > -slow && pull > -slow && (o.Finding != mayHelp || trap < suspectFar && pull < suspectFar) {
			now = 1
		}
		changed = changed || now != weights[i]
		weights[i] = now
	}
	return changed
}

// middle is what is in the middle of the passes, the faster of two there.
func middle(x []ran) ran {
	of := func(get func(ran) float64) float64 {
		if len(x) == 0 {
			return 0
		}
		v := make([]float64, len(x))
		for i := range x {
			v[i] = get(x[i])
		}
		slices.Sort(v)
		return v[len(v)/2]
	}
	return ran{of(func(r ran) float64 { return r.trap }), of(func(r ran) float64 { return r.pull })}
}

// scatterOf is how far sound passes lie about one car: what is usual, or what these show.
func scatterOf(sound []ran) ran {
	out := ran{passScatter, pullScatter}
	if len(sound) < 3 {
		return out
	}
	spread := func(of func(ran) float64) float64 {
		v := make([]float64, len(sound))
		for i := range sound {
			v[i] = of(sound[i])
		}
		mid := median(v)
		for i := range v {
			v[i] = math.Abs(v[i] - mid)
		}
		return 1.4826 * median(v)
	}
	return ran{max(out.trap, spread(func(r ran) float64 { return r.trap })), max(out.pull, spread(func(r ran) float64 { return r.pull }))}
}

// pull is by how much pass k pulled harder in its gears than the fitted car, 1 of its torque; NaN
// where no gear tells.
func (f *fitted) pull(k int) float64 {
	w := f.ws[k]
	num, den := 0.0, 0.0
	for _, g := range w.scales(f.Car, &f.drv, f.Scale, f.Levels[k], f.Heads[k], w.gains(f.Car, mostGears(f.Car, f.ws))) {
		num, den = num+g.weight*(g.scale/f.Scale[g.gear-1]-1), den+g.weight
	}
	return num / den // not a number where no gear tells
}

// soundOf are the passes that teach what has no weights; all where none is sound.
func soundOf(ws []*work) []*work {
	var out []*work
	for _, w := range ws {
		if w.weight >= soundWeight {
			out = append(out, w)
		}
	}
	if len(out) == 0 {
		return ws
	}
	return out
}

// Ill tells that the car was fitted without pass k for what was found on it, or for the crew's
// word: what the pass ran less than that car is what it cost.
func (m *Model) Ill(k int) bool { return m.Passes[k].Obs.suspect() && m.Passes[k].Weight < soundWeight }

// A finding's start is known to some tenths of a second, and what creeps in is seen late: so
// much before it, s, is left out; and so much must be left, s from the closing of the clutch, to
// tell of the car. Common practice, no source.
const beforeFinding, leastSound = 0.6, 4.0

// mendedSD is how well a lone pass with more than a subtle finding tells of the car mended, 1 of
// the trap speed: on four invented cars and an open one whose passes were cut before the finding
// forecasts were −6 to +2.6 % off, 3.7 % rms.
const mendedSD = 0.037

// beforeFinding leaves of a lone pass with a finding that began on the way what lies before it.
func (m *Model) beforeFinding(obs []*Observation) []*Observation {
	if len(obs) != 1 {
		return obs // the others tell whether it is ill
	}
	o := obs[0]
	if !o.Good || o.Finding == "" || o.Slight {
		return obs
	}
	m.MendedSD = mendedSD
	end := o.FoundFrom - beforeFinding
	if o.Lock >= len(o.X) || end < o.time(o.Lock)+leastSound || end >= o.time(len(o.X)-1) {
		return obs
	}
	m.Notes = append(m.Notes, fmt.Sprintf("pass %s: the health screen finds %s from %.1f s on: only what lies before teaches, and the forecast is for the car mended, which that tells to some %.1f %% only", name(o), o.Finding, o.FoundFrom, 100*mendedSD))
	return []*Observation{o.until(end)}
}

// until is the pass as if it had been given up at t, s from rollout, and nothing been found.
func (o *Observation) until(t float64) *Observation {
	for _, s := range o.Shifts {
		if s.Start-0.1 < t && t < s.End {
			t = s.Start - 0.1 // the end must not lie in a shift
		}
	}
	c, n := *o, o.at(t)+1
	for _, x := range []*[]float64{&c.X, &c.V, &c.VSD, &c.A, &c.Engine, &c.Wheel, &c.Boost, &c.Charge, &c.Open, &c.Spark, &c.Lambda, &c.Back, &c.Cut, &c.Exhaust} {
		*x = (*x)[:min(n, len(*x))]
	}
	c.Gear, c.Full = c.Gear[:min(n, len(c.Gear))], c.Full[:min(n, len(c.Full))]
	c.Shifts = slices.DeleteFunc(slices.Clone(c.Shifts), func(s ShiftSeen) bool { return s.End > t })
	c.Trap, c.Finish, c.Complete, c.Finding, c.mended = math.NaN(), math.NaN(), false, "", true
	return &c
}

// sayAcquitted says which passes count in full in spite of a finding.
func (m *Model) sayAcquitted() {
	var who, what []string
	for _, p := range m.Passes {
		if o := p.Obs; o.suspect() && p.Weight >= soundWeight && len(m.Passes) > 1 {
			who = append(who, name(o))
			if !slices.Contains(what, o.Finding) {
				what = append(what, o.Finding)
			}
		}
	}
	if len(who) > 0 {
		m.Notes = append(m.Notes, fmt.Sprintf("the health screen finds %s on %s, but it costs no speed beside the other passes: counted in full, and the forecast is for the car as it is", strings.Join(what, ", "), strings.Join(who, ", ")))
	}
}

// saySuspect says of pass i what its finding, or the crew's word, makes of it; "" for others.
func (m *Model) saySuspect(i int) string {
	p := &m.Passes[i]
	o, who := p.Obs, name(p.Obs)
	what := "the health screen finds " + o.Finding
	if o.Finding == "" {
		what = "it was not a healthy one"
	}
	switch {
	case !o.suspect():
		return ""
	case p.Weight >= soundWeight && len(m.Passes) > 1:
		return "" // told of all of them together
	case p.Weight >= soundWeight && o.Slight:
		return fmt.Sprintf("pass %s: %s, which should cost little speed: it counts in full", who, what)
	case p.Weight >= fewAlone:
		return fmt.Sprintf("pass %s: %s, and no sound pass stands beside it: the forecast is for the car as it ran then; mended it may well be faster, and the interval is wider for it", who, what)
	}
	off := ""
	if r := m.Mean.Residual[i]; !math.IsNaN(r) && math.Abs(r) > passScatter*o.Trap {
		word := "slower"
		if r > 0 {
			word = "faster"
		}
		off = fmt.Sprintf(" (%.1f %% %s than the other passes' car would have run)", 100*math.Abs(r)/o.Trap, word)
	}
	return fmt.Sprintf("pass %s: %s%s, so it counts for next to nothing: the forecast is for the car as it ran before, mended", who, what, off)
}
