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

// gustField is a gust of unit variance along the air's path: three Ornstein–
// Uhlenbeck processes with lengths of 25, 140 and 700 m, so that its spectrum
// falls in steps as that of real turbulence falls steadily, and the longest
// makes one pass differ from the next.
func gustField(seed uint64) *table {
	r := stream(seed, "gust")
	const n, dx = 1401, 2.0
	y := make([]float64, n)
	length := [3]float64{25, 140, 700}
	weight := [3]float64{0.45, 0.62, 0.643}
	var z [3]float64
	for k := range z {
		z[k] = r.NormFloat64()
	}
	for i := range y {
		for k := range z {
			z[k] += -z[k]*dx/length[k] + math.Sqrt(2*dx/length[k])*r.NormFloat64()
			y[i] += weight[k] * z[k]
		}
	}
	return &table{lo: -400, inv: 1 / dx, y: y}
}
