package ode

import "math"

// Method is an explicit Runge–Kutta pair whose last stage is the slope at the
// step's end, so that it serves as the first of the next step.
type Method struct {
	Name  string
	Order int // of the solution that is carried on

	a    [][]float64 // stage weights; row i holds i entries; the last row is the solution's weights
	c    []float64   // nodes
	e    []float64   // error weights: solution minus embedded solution
	with func(theta float64, b []float64)
}

// Stages is the number of slopes held by a step.
func (m *Method) Stages() int { return len(m.c) }

// check panics unless rows sum to the nodes, the last row to one and the error
// weights to zero: a mistyped coefficient must not pass.
func (m *Method) check() *Method {
	sum := func(x []float64) float64 {
		s := 0.0
		for _, v := range x {
			s += v
		}
		return s
	}
	for i, row := range m.a {
		if math.Abs(sum(row)-m.c[i]) > 1e-14 {
			panic("ode: a row of the table does not sum to its node")
		}
	}
	if math.Abs(sum(m.e)) > 1e-14 {
		panic("ode: the error weights do not sum to zero")
	}
	return m
}

// tsit5 is the pair of Tsitouras (2011), order 5 with an embedded order 4 and a free
// interpolant of order 4.
var tsit5 = (&Method{
	Name: "Tsitouras 5(4)", Order: 5,
	c: []float64{0, 0.161, 0.327, 0.9, 0.9800255409045097, 1, 1},
	a: [][]float64{
		{},
		{0.161},
		{-0.008480655492356989, 0.335480655492357},
		{2.8971530571054935, -6.359448489975075, 4.3622954328695815},
		{5.325864828439257, -11.748883564062828, 7.4955393428898365, -0.09249506636175525},
		{5.86145544294642, -12.92096931784711, 8.159367898576159, -0.071584973281401, -0.028269050394068383},
		{0.09646076681806523, 0.01, 0.4798896504144996, 1.379008574103742, -3.290069515436081, 2.324710524099774},
	},
	e: []float64{
		-0.00178001105222577714, -0.0008164344596567469, 0.007880878010261995,
		-0.1447110071732629, 0.5823571654525552, -0.45808210592918697, 0.015151515151515152,
	},
	with: func(s float64, b []float64) {
		s2 := s * s
		b[0] = -1.0530884977290216 * s * (s - 1.3299890189751412) * (s2 - 1.4364028541716351*s + 0.7139816917074209)
		b[1] = 0.1017 * s2 * (s2 - 2.1966568338249754*s + 1.2949852507374631)
		b[2] = 2.490627285651252793 * s2 * (s2 - 2.38535645472061657*s + 1.57803468208092486)
		b[3] = -16.54810288924490272 * (s - 1.21712927295533244) * (s - 0.61620406037800089) * s2
		b[4] = 47.37952196281928122 * (s - 1.203071208372362603) * (s - 0.658047292653547382) * s2
		b[5] = -34.87065786149660974 * (s - 1.2) * (s - 0.666666666666666667) * s2
		b[6] = 2.5 * (s - 1) * (s - 0.6) * s2
	},
}).check()
