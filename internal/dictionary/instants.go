package dictionary

import (
	"math"

	"traplight/internal/quantity"
)

// A channel that is read in a rhythm of its own, say 20 times a second, is
// written into rows that come 50 times a second: two rows apart, then three. The
// row's time is when the reading was written, the channel's own grid tells when
// it was taken. Which of the two a logger's numbers follow is seen from smooth
// channels: between neighbours a reading lies where its true time says. With d
// the difference between the two predictions of each reading from its
// neighbours, the regression of the misses on d is 0 if the grid is right and 1
// if the rows are. All channels of a log are asked together.

// wholeNumbered says whether a period is a whole number of rows.
func wholeNumbered(p float64) bool { return math.Abs(p-math.Round(p)) < 1e-3 }

// fitPhase finds the phases of a grid of known period, in rows, on which the
// readings of a blank-filled column lie.
func (s *scratch) fitPhase(rows []int, t []float64, step float64, parts []int, period float64) (g grid, ok bool) {
	g = grid{period, make([]float64, len(parts))}
	s.positions(len(parts), len(rows))
	pos, place := s.pos, s.rowsOf(t, step).place
	for _, r := range rows {
		k := partOf(r, parts)
		pos[k] = append(pos[k], place[r])
	}
	misses := 0
	for k := range pos {
		if len(pos[k]) > 0 {
			in, start := s.fullestWindow(pos[k], period)
			misses += len(pos[k]) - in
			g.phase[k] = start
		}
	}
	return g, float64(misses) <= strays*float64(len(rows))
}

// instants are the times, s, of the grid's refreshes that the rows show. A
// reading off the grid keeps its row's time.
func (s *scratch) instants(g grid, rows []int, t []float64, step float64, parts []int) []float64 {
	s.own = roomFor(s.own, len(rows))
	out, place := s.own[:len(rows)], s.rowsOf(t, step).place
	for i, r := range rows {
		phase := g.phase[partOf(r, parts)]
		x := place[r]
		k := math.Floor((x - phase) / g.period)
		late := x - phase - k*g.period // rows since the refresh
		if late < 0 || late >= 1 {
			late = 0
		}
		out[i] = t[r] - late*step
	}
	return out
}

// smoothQuantity says whether a quantity moves smoothly enough to tell times by.
func smoothQuantity(q quantity.Name) bool {
	switch q {
	case quantity.Latitude, quantity.Longitude, quantity.GPSSpeed, quantity.VehicleSpeed, quantity.WheelSpeedFL, quantity.WheelSpeedFR,
		quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.EngineSpeed, quantity.TurboSpeed, quantity.ManifoldPressure, quantity.ExhaustPressure,
		quantity.ExhaustTemperature, quantity.IntakeTemperature, quantity.ChargeTemperature, quantity.AccelerationLong, quantity.FuelFlow:
		return true
	}
	return false
}

// chooseInstants decides for the whole log whether readings are dated by their
// channel's grid or by their row, and dates them.
func chooseInstants(set *Set) {
	var dd, dy float64
	used := 0
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.own == nil || !smoothQuantity(c.Quantity) {
			continue
		}
		a, b, n := timingEvidence(c.Trace.T, c.own, c.Trace.V)
		if n > 30 {
			dd += a
			dy += b
			used++
		}
	}
	if used == 0 || dd == 0 {
		return
	}
	// Each channel's sums are in units of its own noise; the slope's standard
	// deviation is 1/√dd.
	slope, sd := dy/dd, 1/math.Sqrt(dd)
	if slope > 0.5 || sd > 0.25 {
		return
	}
	moved := 0
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.own != nil {
			c.Trace.T = rising(c.own)
			moved++
		}
	}
	set.Notes = append(set.Notes, quantity.Count(moved, "channel is read in a rhythm of its own", "channels are read in rhythms of their own")+" between the rows; readings are dated by it, since smooth channels run evenly so")
}

// timingEvidence gives the sums of d² and d·miss over a channel's readings, in
// units of the variance of the misses: d is the difference of the predictions of
// a reading from its four neighbours under both datings, miss the reading less
// its prediction under own.
func timingEvidence(rows, own, v []float64) (dd, dy float64, n int) {
	type pair struct{ d, y float64 }
	var ps []pair
	var misses []float64
	for k := 2; k+2 < len(v); k++ {
		if own[k+2]-own[k-2] > 1.5*4*(own[1]-own[0]) && len(own) > 1 && own[1] > own[0] {
			continue // a gap
		}
		p0 := lagrange(own, v, k)
		p1 := lagrange(rows, v, k)
		ps = append(ps, pair{p1 - p0, v[k] - p0})
		misses = append(misses, math.Abs(v[k]-p0))
	}
	if len(ps) == 0 {
		return 0, 0, 0
	}
	sd := spread(misses)
	if sd == 0 {
		return 0, 0, 0
	}
	for _, p := range ps {
		y := math.Max(-6*sd, math.Min(6*sd, p.y))
		dd += p.d * p.d / (sd * sd)
		dy += p.d * y / (sd * sd)
	}
	return dd, dy, len(ps)
}

// lagrange predicts reading k from its two neighbours on each side.
func lagrange(t, v []float64, k int) float64 {
	idx := [4]int{k - 2, k - 1, k + 1, k + 2}
	sum := 0.0
	for _, i := range idx {
		w := 1.0
		for _, j := range idx {
			if i != j {
				w *= (t[k] - t[j]) / (t[i] - t[j])
			}
		}
		sum += w * v[i]
	}
	return sum
}

// rising drops nothing but makes equal neighbours rise by the least step.
func rising(t []float64) []float64 {
	for i := 1; i < len(t); i++ {
		if t[i] <= t[i-1] {
			t[i] = t[i-1] + 1e-9
		}
	}
	return t
}
