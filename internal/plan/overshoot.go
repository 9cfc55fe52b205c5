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
}

func missedBoost(m *fitcar.Model) missed {
	n := len(m.Mean.Car.Ratios)
	out := missed{make([]float64, n), make([]float64, n), make([]float64, n)}
	count := make([]float64, n)
	for k := range m.Passes {
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
			out.peak[g] += peak - slices.Max(model[g])
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
		out.peak[g] = max(0, out.peak[g]/max(1, count[g]))
	}
	return out
}

const (
	lastingShare = 0.75 // 1, of a pull's samples that lie under its lasting pressure
	peakShare    = 0.97 // 1, of those under its peak: the sensor's noise is above
)

// quantile sorts x and is its value under which a share lies.
func quantile(x []float64, share float64) float64 {
	slices.Sort(x)
	return x[min(len(x)-1, int(math.Round(share*float64(len(x)-1))))]
}
