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
	by    [][]float64 // Pa by pass and gear, what each pass's peak exceeds the model's by; 0 where nothing was read
}

func missedBoost(m *fitcar.Model) missed {
	n := len(m.Mean.Car.Ratios)
	out := missed{make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n), make([][]float64, len(m.Passes))}
	count, square := make([]float64, n), make([]float64, n)
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
		read, model := make([][]float64, n), make([][]float64, n)
		for i := o.Lock; i < len(o.X); i++ {
			if g := o.Gear[i] - 1; g >= 0 && g < n && o.Full[i] && o.Boost[i] > 0 {
				read[g] = append(read[g], o.Boost[i]-o.Air.Pressure)
			}
		}
		for _, q := range res.Points {
			model[q.Gear-1] = append(model[q.Gear-1], q.Boost)
		}
		for g := range n {
			if len(read[g]) < 10 || len(model[g]) < 5 {
				continue
			}
			count[g]++
			peak := quantile(read[g], peakShare)
			out.lasting[g] += quantile(read[g], lastingShare) - quantile(model[g], lastingShare)
			over := peak - slices.Max(model[g])
			out.by[k][g] = over
			out.peak[g], square[g] = out.peak[g]+over, square[g]+over*over
			for i := range res.Gears {
				if q := &res.Gears[i]; q.Gear == g+1 {
					out.rise[g] += late(q, peak)
				}
			}
		}
	}
	for g := range n {
		out.lasting[g] /= max(1, count[g])
		out.rise[g] /= max(1, count[g])
		mean := out.peak[g] / max(1, count[g])
		// of count passes, and of what is usual with the weight of two
		variance := (square[g] - count[g]*mean*mean + 2*usualSwing*usualSwing) / (max(0, count[g]-1) + 2)
		if count[g] > 0 { // the mean itself is in doubt
			variance *= 1 + 1/count[g]
		}
		out.peak[g], out.swing[g] = max(0, mean), math.Sqrt(max(0, variance))
	}
	return out
}

const (
	lastingShare = 0.75 // 1, of a pull's samples that lie under its lasting pressure
	peakShare    = 0.97 // 1, of those under its peak: the sensor's noise is above
	usualSwing   = 2e3  // Pa, spread of a peak from pass to pass; common practice, no source
)

// quantile sorts x and is its value under which a share lies.
func quantile(x []float64, share float64) float64 {
	slices.Sort(x)
	return x[min(len(x)-1, int(math.Round(share*float64(len(x)-1))))]
}

// spiked is the square root of a gear's highest head, 1, with over, Pa, added to its pressure:
// a rotor turns as fast as the peak wants, not as what lasts.
func spiked(barometer float64, g *sim.Gear, over float64) float64 {
	head := max(0, g.MaxHead)
	if over > 0 && head > 0 {
		head = sim.Head(barometer, sim.Pressure(barometer, head)+over)
	}
	return math.Sqrt(head)
}
