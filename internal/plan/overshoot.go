package plan

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// missed is by how much the boost that was read exceeds that of the fitted car's replay,
// Pa by gear (from 0), mean of the passes: for the most of a pull and for its peak. The
// control's ways after a shift are not all in the model; and what it shows of targets that
// only one of both came to. 0 where nothing was read.
type missed struct {
	lasting, peak []float64
	rise          []float64 // ln, what is to be added to the reserve of time
	// swing is the spread, Pa by gear, of the next pass's peak about peak: how boost comes after
	// a shift hangs on how much the tyres spun before it.
	swing []float64
	way   []way       // how boost came to what was set, by gear (from 0)
	by    [][]float64 // Pa by pass and gear, what each pass's peak exceeds the model's by; 0 where nothing was read
	// beyond is by how much the peaks exceed what was set, Pa by gear, and swing then the spread
	// about that: where it tells the record's peaks better than the replays do. nil where not.
	beyond []float64
	floor  float64 // Pa gauge, what the gate's spring holds
}

// over is by how much the next peak of a gear will exceed the model's, Pa, and its spread, Pa,
// where the gear is set to a boost, Pa gauge; own is by how much the model overshoots itself,
// Pa. Boost that a gear was entered with goes over nothing once more.
func (m *missed) over(g *sim.Gear, set, own float64) (over, swing float64) {
	i := g.Gear - 1
	set = max(set, m.floor)
	level := g.MaxBoost
	if i > 0 {
		level = min(level, set+own)
	}
	top := level + m.peak[i]
	if m.beyond != nil && g.Reached {
		top = max(set+m.beyond[i], g.Goal)
	}
	if level < g.MaxBoost {
		top = max(top, g.MaxBoost)
	}
	return top - g.MaxBoost, m.swing[i]
}

// scatter gathers figures that are alike but for chance.
type scatter struct{ n, sum, square float64 }

func (q *scatter) add(x float64) { q.n, q.sum, q.square = q.n+1, q.sum+x, q.square+x*x }

func (q *scatter) mean() float64 { return q.sum / max(1, q.n) }

// rest is the sum of squares about the mean.
func (q *scatter) rest() float64 { return max(0, q.square-q.n*q.mean()*q.mean()) }

// swing is the spread of the next one about the mean, Pa: that of those seen, and what is usual, Pa,
// with the weight of two.
func (q *scatter) swing(usual float64) float64 {
	variance := (q.rest() + 2*usual*usual) / (max(0, q.n-1) + 2)
	if q.n > 0 { // the mean itself is in doubt
		variance *= 1 + 1/q.n
	}
	return math.Sqrt(variance)
}

func missedBoost(m *fitcar.Model) missed {
	n := len(m.Mean.Car.Ratios)
	out := missed{lasting: make([]float64, n), peak: make([]float64, n), rise: make([]float64, n), swing: make([]float64, n), by: make([][]float64, len(m.Passes)), floor: m.Mean.Car.Boost.Floor}
	untold, launched := false, false // of some pass, what was set; and that its launch built more than its first gear
	count, model, set, way := make([]float64, n), make([]scatter, n), make([]scatter, n), newWays(n)
	for k := range m.Passes {
		out.by[k] = make([]float64, n)
		o := m.Passes[k].Obs
		car, p := m.Replay(&m.Mean, k)
		if car == nil || o.Boost == nil || m.Passes[k].Weight < 0.5 {
			continue
		}
		r := sim.Runner{Car: car, Watch: true, Rel: sim.Rough, Keep: heatKeep / 2}
		res, err := r.Run(p)
		if err != nil {
			continue
		}
		read, replay, tops := make([][]float64, n), make([][]float64, n), make([]float64, n)
		for i := o.Lock; i < len(o.X); i++ {
			if g := o.Gear[i] - 1; g >= 0 && g < n && o.Full[i] && o.Boost[i] > 0 {
				read[g] = append(read[g], o.Boost[i]-o.Air.Pressure)
				if k := len(read[g]); k > 2 {
					tops[g] = max(tops[g], slices.Min(read[g][k-3:]))
				}
			}
		}
		for _, q := range res.Points {
			replay[q.Gear-1] = append(replay[q.Gear-1], q.Boost)
		}
		for g := range n {
			if len(read[g]) < 10 || len(replay[g]) < 5 {
				continue
			}
			count[g]++
			along := slices.Clone(read[g])
			peak := quantile(read[g], peakShare)
			out.lasting[g] += quantile(read[g], lastingShare) - quantile(replay[g], lastingShare)
			top := tops[g]
			if g == 0 { // the rotor turns for what the launch builds, too
				l := launchPeak(o)
				launched = launched || l > top
				top = max(top, l)
			}
			over := top - slices.Max(replay[g])
			if q := o.Target; len(q) > 0 && q[min(g, len(q)-1)] > 0 {
				way.add(g, along, o.Step, peak, q[min(g, len(q)-1)])
			}
			out.by[k][g] = over
			t := math.Inf(-1)
			if len(o.Target) > 0 {
				t = max(out.floor, o.Target[min(g, len(o.Target)-1)])
			} else {
				untold = true
			}
			// a pull that came short of its target, and of its replay, does not tell how far the
			// control goes over one
			if over >= 0 || top >= t {
				model[g].add(over)
				set[g].add(top - t)
			}
			for i := range res.Gears {
				if q := &res.Gears[i]; q.Gear == g+1 {
					out.rise[g] += lateness(q, peak)
				}
			}
		}
	}
	for g := range n {
		out.lasting[g] /= max(1, count[g])
		out.rise[g] /= max(1, count[g])
		out.peak[g], out.swing[g] = max(0, model[g].mean()), model[g].swing(usualSwing)
	}
	out.way = way.mean()
	// Where the peaks part far less about what was set than about the replays, which know no better
	// how boost came up, the settings tell the next one.
	first := &model[0] // what tells the next peak of the first gear
	byModel, bySet := 0.0, 0.0
	for g := range n {
		byModel, bySet = byModel+model[g].rest(), bySet+set[g].rest()
	}
	if !untold && bySet < setBetter*byModel && byModel > 4*usualSwing*usualSwing {
		out.beyond = make([]float64, n)
		for g := range n {
			out.beyond[g], out.swing[g] = set[g].mean(), set[g].swing(usualSwing)
		}
		first = &set[0]
	}
	if launched {
		out.swing[0] = max(out.swing[0], min(launchSwing, first.swing(launchSwing)))
	}
	return out
}

// launchPeak is the highest boost, Pa gauge, of any two samples on end before the launch
// clutch has closed: engines that fall from launch speed while the rotor still turns leave it over
// any target. −∞ where nothing was read.
func launchPeak(o *fitcar.Observation) float64 {
	top := math.Inf(-1)
	for i := 1; i < min(o.Lock, len(o.Boost)); i++ {
		top = max(top, min(o.Boost[i-1], o.Boost[i])-o.Air.Pressure)
	}
	return top
}

const (
	lastingShare = 0.75 // 1, of a pull's samples that lie under its lasting pressure
	peakShare    = 0.97 // 1, of those under its peak: the sensor's noise is above
	setBetter    = 0.4  // 1, of the replays' sum of squares about the peaks
	launchSwing  = 10e3 // Pa, the same of what a launch builds; common practice, no source
	usualSwing   = 2e3  // Pa, spread of a peak from pass to pass; common practice, no source
)

// quantile sorts x and is its value under which a share lies.
func quantile(x []float64, share float64) float64 {
	slices.Sort(x)
	return x[min(len(x)-1, int(math.Round(share*float64(len(x)-1))))]
}

// overHead is a gear's highest head, 1, with over, Pa, added to its pressure.
func overHead(barometer float64, g *sim.Gear, over float64) float64 {
	head := max(0, g.MaxHead)
	if over > 0 && head > 0 {
		head = sim.Head(barometer, sim.Pressure(barometer, head)+over)
	}
	return head
}
