package forecast

import (
	"math"

	"traplight/internal/fitcar"
)

// What the replays of a car's passes scatter by about the model before any is seen, and the passes
// that this is worth. The first is measured (see missAlways), the second common practice, no
// source.
const (
	replayScatter = 0.0028 // 1 of the trap speed, from pass to pass, the mast's reading of the wind in it
	scatterWorth  = 6.0
	scatterLeast  = 4.0 // passes beyond the first of their days, with fewer nothing is told
)

// excess is by how much more than is usual the record's passes scatter about the model within a
// day, 1 of the trap speed: a long record tells the car's own scatter, be it of heat, fuel or
// hands. 0 where there is no more than usual.
func excess(m *fitcar.Model) float64 {
	ss, free := scatterWorth*replayScatter*replayScatter, scatterWorth
	for i := 0; i < len(m.Passes); {
		var off []float64
		mean := 0.0
		for from := m.Passes[i].Obs.Hour; i < len(m.Passes) && m.Passes[i].Obs.Hour < from+12; i++ {
			q := &m.Passes[i]
			if i < len(m.Mean.Residual) && q.Weight > 0.5 && q.Obs.Trap > 0 && !math.IsNaN(m.Mean.Residual[i]) {
				off = append(off, m.Mean.Residual[i]/q.Obs.Trap)
				mean += off[len(off)-1]
			}
		}
		mean /= max(1, float64(len(off)))
		for _, r := range off {
			ss += (r - mean) * (r - mean)
		}
		free += max(0, float64(len(off))-1)
	}
	if free < scatterWorth+scatterLeast {
		return 0
	}
	return math.Sqrt(max(0, ss/free-replayScatter*replayScatter))
}
