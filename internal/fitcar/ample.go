package fitcar

import (
	"math"
	"slices"

	"traplight/internal/sim"
)

// What is known of boost that no pass has shown: a turbo is chosen with a wastegate that
// still passes some of the gas at the highest boost that the sheet has, so that the turbine's
// work exceeds the compressor's need there, through the pull. Passes at less boost tell work
// and need only along a line, whose members lead to a turbine that gives out just beyond what
// was run, or never. Common practice, no source.
const (
	ampleWork   = 0.10 // ln of work over need, at the least
	ampleSpread = 0.05 // of it
)

// ampleSpeeds are the engine speeds of a pull, as shares of the rev limit.
var ampleSpeeds = [...]float64{0.75, 0.85, 0.95}

// ample are the states at which the sheet's highest boost is held; none where it is not
// told.
type ample struct {
	at    [][3]float64 // flow, head and engine speed, 1, of the reference
	least float64      // ln
}

func newAmple(c *sim.Car, w *work, least float64) (a ample) {
	top, rev := w.highest(), w.Sheet.RevLimit
	if top <= 0 || rev <= 0 {
		return a
	}
	p := w.air.Pressure + top
	head := sim.Head(w.air.Pressure, p)
	charge := c.Engine.LateCharge(w.air.Temperature, head)
	for _, share := range ampleSpeeds {
		a.at = append(a.at, [3]float64{sim.Flow(share*rev, p, charge), head, share * rev / sim.RefSpeed})
	}
	a.least = least
	return a
}

// highest is the sheet's highest boost, Pa gauge: its limit, else what is usually run; 0
// unknown.
func (w *work) highest() float64 {
	if l := w.Sheet.Limits.MaxBoost; l > 0 || len(w.Sheet.UsualBoost) == 0 {
		return l
	}
	return slices.Max(w.Sheet.UsualBoost)
}

// residuals writes by how many spreads the work falls short, 0 where it suffices. The states
// share one error.
func (a *ample) residuals(b *sim.Boost, r []float64) {
	sd := ampleSpread * math.Sqrt(float64(len(a.at)))
	for i, q := range a.at {
		r[i] = min(0, math.Log(b.Ample(q[0], q[1], q[2]))-a.least) / sd
	}
}
