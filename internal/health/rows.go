package health

import (
	"math"
	"slices"
)

// rowset is what a watch sees of one pass: a row per block of time in which it
// could look. X has the constant in its first column.
type rowset struct {
	T    []float64 // s, run clock, the block's middle
	Y    []float64 // unit of the watch
	X    []float64 // n×P row by row
	Load []float64 // 1
	// Loose marks the rows of the launch, the first gear and the time after the
	// lift, where relations hold less well.
	Loose []bool
	P     int
	// halting: all rows are loose since the driver hardly ever let it run, see frame.halting.
	halting bool
}

func (r *rowset) len() int { return len(r.Y) }

// ofLoad is by how much a disturbance's shape counts in a row, 1, for the row's load.
func (r *rowset) ofLoad(s shape) func(i int) float64 {
	mean := meanLoad(r.Load)
	if !s.ByLoad || !(mean > 0) {
		return func(int) float64 { return 1 }
	}
	top := slices.Max(r.Load) / mean
	return func(i int) float64 { return s.OfLoad(r.Load[i]/mean, top) }
}

// collect forms rows from cells where mask is set and y and every feature are
// there. A row needs half a block; its y is the mean without the largest and the
// smallest cell, so that a lone spike is nothing.
func (f *frame) collect(mask []bool, y, load []float64, feats ...[]float64) *rowset {
	r := &rowset{P: 1 + len(feats), halting: f.halting}
	if y == nil || f.n == 0 {
		return r
	}
	// Blocks are counted from the launch, so that a pass shifted in its log gives
	// the same rows.
	first := int(math.Round((f.launch - f.t[0]) / cell))
	start := first - (first/block+1)*block
	buf := make([]float64, 0, block)
	sum := make([]float64, len(feats))
	for b := start; b < f.n; b += block {
		buf = buf[:0]
		clear(sum)
		var ts, ls float64
		loose := 0
	cells:
		for i := max(b, 0); i < min(b+block, f.n); i++ {
			if !mask[i] || math.IsNaN(y[i]) || math.IsInf(y[i], 0) {
				continue
			}
			for _, x := range feats {
				if math.IsNaN(x[i]) || math.IsInf(x[i], 0) {
					continue cells
				}
			}
			for j, x := range feats {
				sum[j] += x[i]
			}
			ts += f.t[i]
			if f.loose(i) {
				loose++
			}
			if load != nil && !math.IsNaN(load[i]) {
				ls += load[i]
			}
			buf = append(buf, y[i])
		}
		k := len(buf)
		if k < block/2 {
			continue
		}
		r.T = append(r.T, ts/float64(k))
		r.Loose = append(r.Loose, 2*loose > k)
		r.Y = append(r.Y, trimmed(buf))
		r.X = append(r.X, 1)
		for _, s := range sum {
			r.X = append(r.X, s/float64(k))
		}
		r.Load = append(r.Load, ls/float64(k))
	}
	if load == nil {
		r.Load = nil
	}
	return r
}

func trimmed(x []float64) float64 {
	lo, hi, s := slices.Min(x), slices.Max(x), 0.0
	for _, v := range x {
		s += v
	}
	if len(x) < 4 {
		return s / float64(len(x))
	}
	return (s - lo - hi) / float64(len(x)-2)
}

// mask gives a set of cells.
func (f *frame) mask(on func(i int) bool) []bool {
	m := make([]bool, f.n)
	for i := range m {
		m[i] = on(i)
	}
	return m
}

// settling is the time in second gear until wheels, clutch and driveshafts have
// settled from the shift out of the launch, s (set by hand).
const settling = 1.2

// loose says whether a cell belongs to the launch, the first gear, the shift out of
// it or the time after the lift. A first pass leaves out such cells and not the
// shift's, of which it would have few others.
func (f *frame) loose(i int) bool {
	if f.loosely {
		return false
	}
	return f.halting && !f.alone || f.gear[i] <= 1 || !f.alone && f.gear[i] == 2 && f.since[i] < settling || f.t[i] < f.launch+3.5 || f.t[i] > f.end
}

// rough is how many times the noise each row scatters, 1; nil when all are alike.
func (r *rowset) rough(ratio float64) []float64 {
	any, all := false, true
	for _, l := range r.Loose {
		any, all = any || l, all && l
	}
	if !any || all && !r.halting || ratio == 1 {
		return nil
	}
	out := make([]float64, len(r.Loose))
	for i, l := range r.Loose {
		out[i] = 1
		if l {
			out[i] = ratio
		}
	}
	return out
}
