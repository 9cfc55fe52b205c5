package fitcar

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"traplight/internal/sim"
)

// Spreads of drivers from pass to pass and what they are worth in shifts or
// launches; common practice, no source. Own data take over as they come.
const (
	overPriorSD   = 6.0  // rad/s, spread of the engine speed where torque ends about what the gear's pull makes of it
	timeRel       = 0.09 // 1, spread of shift times
	priorShifts   = 4.0  // shifts that the priors are worth
	launchV       = 0.07 // 1, spread of speed and distance when the clutch closes
	launchT       = 0.07 // s
	launchHead    = 0.03 // 1
	priorLaunches = 2.0  // launches that the priors are worth
	recency       = 0.85 // 1, weight of a launch against that of the next
	missPrior     = 0.01 // 1, chance of a missed shift
)

// Driver is how this driver shifts and launches.
type Driver struct {
	Over     float64   // rad/s, median of engine speed at the end of torque over the aim
	OverBy   []float64 // rad/s by gear, the same as it goes with how fast the engine gains speed there
	OverSD   float64   // rad/s, about OverBy
	Time     []float64 // s, mean torque gap by shift
	TimeSD   float64   // 1, relative spread
	Miss     float64   // 0–1, chance that a shift is missed
	Launches []Launch
	SpreadV  float64 // 1, kernel about a launch drawn
	SpreadT  float64 // s
	SpreadH  float64 // 1
}

// Launch is one launch of the record.
type Launch struct {
	Start  sim.Start
	Weight float64 // 1
	Pass   int     // index in the model's passes
	Speed  float64 // rad/s, engine speed at which it was meant, or held at the line; 0 unknown
	Bonus  float64 // 1, nitrous was on
}

func spread(dev []float64, prior, worth float64) float64 {
	s := worth * prior * prior
	for _, v := range dev {
		s += v * v
	}
	return math.Sqrt(s / (worth + max(0, float64(len(dev))-1)))
}

func learnDriver(ws []*work, gears int) Driver {
	d := Driver{Miss: missPrior}
	var over []shiftOver
	var times []float64
	by := make([][]float64, gears)
	missed, count := 0.0, 0.0
	for _, w := range soundOf(ws) {
		for _, s := range w.Shifts {
			count++
			if s.Missed {
				missed++
				continue
			}
			if s.From >= 1 && s.From <= len(w.ShiftAim) && !math.IsNaN(s.Speed) {
				_, pull := w.speedBefore(s.Start)
				over = append(over, shiftOver{s.From, s.Speed - w.ShiftAim[s.From-1], pull})
			}
			t := s.End - s.Start
			times = append(times, t)
			if s.From >= 1 && s.From <= gears {
				by[s.From-1] = append(by[s.From-1], t)
			}
		}
	}
	d.Miss = (missPrior*40 + 0.5*missed) / (40 + count)
	d.learnOver(over, gears)
	mid := 0.3
	if len(times) > 0 {
		mid = median(times)
	} else if !lifted(ws[len(ws)-1].Sheet) {
		mid = 0.08
	}
	var dev []float64
	d.Time = make([]float64, max(1, gears-1))
	for i := range d.Time {
		n := float64(len(by[i]))
		d.Time[i] = mid
		if n > 0 {
			m := median(by[i])
			d.Time[i] = (n*m + 3*mid) / (n + 3)
			for _, t := range by[i] {
				dev = append(dev, max(-0.4, min(0.4, math.Log(t/d.Time[i]))))
			}
		}
	}
	d.TimeSD = spread(dev, timeRel, priorShifts)
	d.learnLaunches(ws)
	return d
}

func (d *Driver) learnLaunches(ws []*work) {
	var v, t, h []float64
	weight := 1.0
	for k := len(ws) - 1; k >= 0; k-- {
		w := ws[k]
		s := w.start(startHead(w))
		d.Launches = append(d.Launches, Launch{Start: s, Weight: weight * w.weight, Pass: k, Speed: w.LaunchSpeed()})
		weight *= recency
		v, t, h = append(v, math.Log(s.V)), append(t, s.Time), append(h, s.Head)
	}
	about := func(x []float64, prior float64) float64 {
		m := 0.0
		for _, y := range x {
			m += y
		}
		m /= float64(len(x))
		dev := make([]float64, len(x))
		for i := range x {
			dev[i] = x[i] - m
		}
		s := spread(dev, prior, priorLaunches)
		// Silverman's kernel, so that few launches are blurred more than many
		return s * min(1, 1.06*math.Pow(float64(len(x)), -0.2))
	}
	d.SpreadV, d.SpreadT, d.SpreadH = min(0.15, about(v, launchV)), min(0.3, about(t, launchT)), min(0.08, about(h, launchHead))
}

// Launches within launchAlike of an engine speed are alike; further off they fade within
// launchFade, but for launchLeast. A foot holds a launch to 2 or 3 %. Common practice, no source.
const (
	launchAlike, launchFade = 0.04, 0.03 // 1
	launchLeast             = 0.02       // 1
)

// weight is what a launch of the record tells of one at engine speed at, rad/s; 0 unknown.
func (l *Launch) weight(at float64) float64 {
	if at <= 0 || l.Speed <= 0 {
		return l.Weight
	}
	off := max(0, math.Abs(math.Log(l.Speed/at))-launchAlike) / launchFade
	return l.Weight * (launchLeast + (1-launchLeast)*math.Exp(-off*off/2))
}

// Draw makes a launch at engine speed at, rad/s, 0 any, from the record.
func (d *Driver) Draw(r *rand.Rand, at float64) sim.Start {
	sum := 0.0
	for _, l := range d.Launches {
		sum += l.weight(at)
	}
	u := r.Float64() * sum
	pick := d.Launches[0]
	for _, l := range d.Launches {
		if u -= l.weight(at); u <= 0 {
			pick = l
			break
		}
	}
	s := pick.Start
	f := math.Exp(d.SpreadV * clip(r.NormFloat64()))
	s.V *= f
	s.X *= f
	s.Wheel *= f
	s.Time += d.SpreadT * clip(r.NormFloat64())
	s.Head = max(-0.1, s.Head+d.SpreadH*clip(r.NormFloat64()))
	return s
}

func clip(z float64) float64 { return max(-2.5, min(2.5, z)) }

// start is the state at the lock.
func (w *work) start(head float64) sim.Start {
	i := w.Lock
	g := 1
	for j := i; j < len(w.Gear); j++ {
		if w.Gear[j] > 0 {
			g = w.Gear[j]
			break
		}
	}
	s := sim.Start{Time: w.time(i), X: w.X[i], V: w.V[i], Head: head, Gear: g, Bite: sim.Bite{Torque: w.bite}}
	if g <= len(w.Sheet.Gears) && !math.IsNaN(w.Engine[i]) {
		s.Wheel = w.Engine[i] / (w.Sheet.Gears[g-1] * w.Sheet.FinalDrive)
	}
	return s
}

// Typical is the launch in the middle of the record's at engine speed at, rad/s, 0 any, by
// speed when the clutch closed.
func (d *Driver) Typical(at float64) sim.Start {
	ls := slices.Clone(d.Launches)
	slices.SortFunc(ls, func(a, b Launch) int { return cmp.Compare(a.Start.V, b.Start.V) })
	sum, half := 0.0, 0.0
	for _, l := range ls {
		sum += l.weight(at)
	}
	for _, l := range ls {
		if half += l.weight(at); half >= sum/2 {
			return l.Start
		}
	}
	return ls[len(ls)-1].Start
}

// BrakeDecel is the deceleration, m/s², that this car's brakes alone have shown; where
// no log shows it, 0.5 g (the middle of references, safety.md).
func (m *Model) BrakeDecel() float64 {
	var seen []float64
	for _, p := range m.Passes {
		if p.Obs.CoastDecel > 0 {
			seen = append(seen, p.Obs.CoastDecel)
		}
	}
	if len(seen) == 0 {
		return 0.5 * 9.80665
	}
	return median(seen)
}

// What is known of how a driver's braking scatters from pass to pass, 1, before any log shows
// it, and the passes that this is worth. Common practice, no source.
const (
	brakeScatter = 0.10
	brakeWorth   = 4.0
	brakeGuess   = 0.12 // 1, of a deceleration that no log shows
)

// BrakeSD is the spread of the next pass's deceleration about BrakeDecel, 1: its scatter from
// pass to pass, learnt from the passes' own, and what so few passes leave of the mean.
func (m *Model) BrakeSD() float64 {
	var seen []float64
	for _, p := range m.Passes {
		if p.Obs.CoastDecel > 0 {
			seen = append(seen, math.Log(p.Obs.CoastDecel))
		}
	}
	n := float64(len(seen))
	if n == 0 {
		return brakeGuess
	}
	mean, ss := 0.0, 0.0
	for _, x := range seen {
		mean += x / n
	}
	for _, x := range seen {
		ss += (x - mean) * (x - mean)
	}
	return math.Sqrt((brakeWorth*brakeScatter*brakeScatter + ss) / (brakeWorth + n - 1) * (1 + 1/n))
}

// BrakeShown tells whether a log shows this car braking.
func (m *Model) BrakeShown() bool {
	for _, p := range m.Passes {
		if p.Obs.CoastDecel > 0 {
			return true
		}
	}
	return false
}
