package demo

import "math"

// gripProfile is the multiplier of friction along the strip: treated and
// rubbered start, a slow fall, patches of about 7 m, and a few bad joints. The
// patches belong to the strip, the level also to the day.
func gripProfile(st Strip, day uint64) *table {
	r := stream(st.Seed, "patches")
	d := stream(day, "track")
	level := st.Grip * (1 + 0.012*d.NormFloat64())
	const n, dx = 961, 1.0
	y := make([]float64, n)
	z := 0.0
	for i := range y {
		z += -z*dx/7 + math.Sqrt(2*dx/7)*r.NormFloat64()
		x := float64(i)*dx - 40
		base := 0.965 + 0.05*math.Exp(-math.Max(x, 0)/90)
		y[i] = level * (base + st.Patch*z)
	}
	for range 5 {
		at, w, deep := int(60+700*r.Float64()), 1+int(4*r.Float64()), 0.06+0.08*r.Float64()
		for j := max(at-w, 0); j < min(at+w, n); j++ {
			y[j] *= 1 - deep
		}
	}
	t := &table{lo: -40, inv: 1 / dx, y: y}
	return t
}

// gustField is a gust of unit variance along the air's path: two Ornstein–
// Uhlenbeck processes with lengths of 25 m and 140 m, so that its spectrum
// falls in two steps as that of real turbulence falls steadily.
func gustField(seed uint64) *table {
	r := stream(seed, "gust")
	const n, dx = 1401, 2.0
	y := make([]float64, n)
	a, b := r.NormFloat64(), r.NormFloat64()
	for i := range y {
		a += -a*dx/25 + math.Sqrt(2*dx/25)*r.NormFloat64()
		b += -b*dx/140 + math.Sqrt(2*dx/140)*r.NormFloat64()
		y[i] = 0.55*a + 0.835*b
	}
	return &table{lo: -400, inv: 1 / dx, y: y}
}
