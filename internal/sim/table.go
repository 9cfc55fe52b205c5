package sim

import (
	"math"
	"sync"
)

// table is a smooth function between equal steps by the cubic through values and slopes at
// both ends (Hermite): within h⁴/384 of its fourth derivative. A pass asks for the two that
// are tabled here some ten thousand times.
type table struct {
	from, scale float64 // first place, and 1 over the step
	node        []tableNode
}

type tableNode struct{ value, slope float64 } // slope a step

// newTable tables f, which gives value and derivative, from one place to another in n steps.
func newTable(from, to float64, n int, f func(x float64) (value, slope float64)) *table {
	t := &table{from: from, scale: float64(n) / (to - from), node: make([]tableNode, n+1)}
	for i := range t.node {
		v, d := f(from + float64(i)/t.scale)
		t.node[i] = tableNode{v, d / t.scale}
	}
	return t
}

// at is the function at x; ok is false outside the table.
func (t *table) at(x float64) (value float64, ok bool) {
	u := (x - t.from) * t.scale
	if !(u >= 0 && u < float64(len(t.node)-1)) {
		return 0, false
	}
	i := int(u)
	a, b := &t.node[i], &t.node[i+1]
	u -= float64(i)
	d := b.value - a.value
	return a.value + u*(a.slope+u*(3*d-2*a.slope-b.slope+u*(a.slope+b.slope-2*d))), true
}

// expanded is the share of the exhaust's heat, 1, that an expansion by the ellipse law with
// q = κm turns to work: 1 − (1 + q²)^−0.124.
func expanded(q float64) float64 {
	if v, ok := expandedTable.at(q); ok {
		return v
	}
	return 1 - math.Exp(-exhExponent*math.Log1p(q*q))
}

var expandedTable = newTable(0, 4, 256, func(q float64) (value, slope float64) {
	rest := math.Exp(-exhExponent * math.Log1p(q*q))
	return 1 - rest, 2 * exhExponent * q * rest / (1 + q*q)
})

// curves are the tyre curves by shape.
var curves sync.Map // of float64 to *table

// curveOf is the tyre curve of a shape: used grip over its peak, 1, by slip over that of the peak.
func curveOf(shape float64) *table {
	if t, ok := curves.Load(shape); ok {
		return t.(*table)
	}
	b := math.Tan(math.Pi / (2 * shape))
	t := newTable(-0.5, 7.5, 1024, func(x float64) (value, slope float64) {
		angle := shape * math.Atan(b*x)
		return math.Sin(angle), math.Cos(angle) * shape * b / (1 + b*b*x*x)
	})
	curves.Store(shape, t)
	return t
}
