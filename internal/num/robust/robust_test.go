package robust

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// stackLoss is Brownlee's oxidation-plant data (Statistical Theory and
// Methodology in Science and Engineering, 1965), 21 days: air flow, water
// temperature, acid concentration, loss. From memory; a slip of memory would
// break the published fits below.
var stackLoss = [][4]float64{
	{80, 27, 89, 42}, {80, 27, 88, 37}, {75, 25, 90, 37}, {62, 24, 87, 28}, {62, 22, 87, 18},
	{62, 23, 87, 18}, {62, 24, 93, 19}, {62, 24, 93, 20}, {58, 23, 87, 15}, {58, 18, 80, 14},
	{58, 18, 89, 14}, {58, 17, 88, 13}, {58, 18, 82, 11}, {58, 19, 93, 12}, {50, 18, 89, 8},
	{50, 18, 86, 7}, {50, 19, 72, 8}, {50, 19, 79, 8}, {50, 20, 80, 9}, {56, 20, 82, 15}, {70, 20, 91, 15},
}

func design(rows [][4]float64) (x, y []float64) {
	for _, r := range rows {
		x = append(x, 1, r[0], r[1], r[2])
		y = append(y, r[3])
	}
	return x, y
}

// Published fits of the stack-loss data: least squares as in Draper and Smith
// (−39.9197, 0.7156, 1.2953, −0.1521) and Huber's M-estimate with scale from the
// median absolute residual, printed in the documentation of two general
// statistics packages (−41.0265, 0.8294, 0.9261, −0.1278; scale 2.441), and the
// bisquare fit of one of them (−42.2853, 0.9275, 0.6507, −0.1123; scale 2.282).
// All from memory.
func TestStackLoss(t *testing.T) {
	x, y := design(stackLoss)
	for _, r := range []struct {
		name  string
		c     Config
		want  [4]float64
		scale float64
		tol   float64
	}{
		{"least squares", Config{Weight: Square}, [4]float64{-39.9197, 0.7156, 1.2953, -0.1521}, 3.243, 5e-5},
		{"Huber", Config{}, [4]float64{-41.0265, 0.8294, 0.9261, -0.1278}, 2.441, 5e-4},
		{"bisquare", Config{Weight: Tukey}, [4]float64{-42.2853, 0.9275, 0.6507, -0.1123}, 2.282, 5e-4},
	} {
		f, err := Regress(x, y, 4, r.c)
		if err != nil || !f.Converged {
			t.Fatalf("%s: %v, converged %v", r.name, err, f.Converged)
		}
		for j := range r.want {
			if math.Abs(f.Coef[j]-r.want[j]) > r.tol+1e-4*math.Abs(r.want[j])/10 {
				t.Errorf("%s: coefficient %d is %.6f, published %.4f", r.name, j, f.Coef[j], r.want[j])
			}
		}
		if math.Abs(f.Scale-r.scale) > 1e-3 {
			t.Errorf("%s: scale %.5f, published %.3f", r.name, f.Scale, r.scale)
		}
	}
}

// longley is the macroeconomic set of NIST StRD (Longley, JASA 62, 1967):
// employment; deflator, product, unemployed, forces, population, year. Data and
// certified values from memory; a slip would break the agreement.
var longley = [][7]float64{
	{60323, 83.0, 234289, 2356, 1590, 107608, 1947}, {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
	{60171, 88.2, 258054, 3682, 1616, 109773, 1949}, {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
	{63221, 96.2, 328975, 2099, 3099, 112075, 1951}, {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
	{64989, 99.0, 365385, 1870, 3547, 115094, 1953}, {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
	{66019, 101.2, 397469, 2904, 3048, 117388, 1955}, {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
	{68169, 108.4, 442769, 2936, 2798, 120445, 1957}, {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
	{68655, 112.6, 482704, 3813, 2552, 123366, 1959}, {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
	{69331, 115.7, 518173, 4806, 2572, 127852, 1961}, {70551, 116.9, 554894, 4007, 2827, 130081, 1962},
}

// NIST certified: slopes and residual SD 304.854073561965. The columns are
// centred first, as normal equations ask for with data like these.
func TestCertifiedLongley(t *testing.T) {
	want := []float64{15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359, -0.0511041056535807, 1829.15146461355}
	var mean [7]float64
	for _, r := range longley {
		for j, v := range r {
			mean[j] += v / float64(len(longley))
		}
	}
	var x, y []float64
	for _, r := range longley {
		x = append(x, 1)
		for j := 1; j < 7; j++ {
			x = append(x, r[j]-mean[j])
		}
		y = append(y, r[0]-mean[0])
	}
	f, err := Regress(x, y, 7, Config{Weight: Square})
	if err != nil {
		t.Fatal(err)
	}
	for j, w := range want {
		if math.Abs(f.Coef[j+1]/w-1) > 1e-7 {
			t.Errorf("slope %d: %.12g, certified %.12g", j+1, f.Coef[j+1], w)
		}
	}
	if math.Abs(f.Scale/304.854073561965-1) > 1e-9 {
		t.Errorf("residual SD %.12g", f.Scale)
	}
	// Certified standard deviation of the year's coefficient: 455.478499142212.
	if sd := math.Sqrt(f.Cov[6*7+6]); math.Abs(sd/455.478499142212-1) > 1e-6 {
		t.Errorf("SD of the year's coefficient %.9g", sd)
	}
}

// A third of wild observations must not move the line by more than noise does.
func TestTukeyResistsAThird(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(-5, 5).Draw(t, "a"), rapid.Float64Range(-5, 5).Draw(t, "b")
		wild := rapid.Float64Range(30, 1e6).Draw(t, "wild")
		var x, y []float64
		for i := range 60 {
			u := float64(i)/30 - 1
			v := a + b*u + 0.01*math.Sin(float64(7*i))
			if i%3 == 0 {
				v += wild * (1 + 0.1*math.Cos(float64(i)))
			}
			x, y = append(x, 1, u), append(y, v)
		}
		f, err := Regress(x, y, 2, Config{Weight: Tukey, Iterations: 200})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Coef[0]-a) > 0.02 || math.Abs(f.Coef[1]-b) > 0.03 {
			t.Fatalf("fit %v, truth %g %g, wild %g", f.Coef, a, b, wild)
		}
	})
}

// A column that never moves must be left where the prior puts it, and without a
// prior be refused.
func TestPriorHoldsWhatDataDoNot(t *testing.T) {
	var x, y []float64
	for i := range 20 {
		x, y = append(x, 1, 0), append(y, 3+0.1*math.Sin(float64(i)))
	}
	if _, err := Regress(x, y, 2, Config{}); err != ErrRank {
		t.Errorf("no prior: error %v, want ErrRank", err)
	}
	f, err := Regress(x, y, 2, Config{Prior: &Prior{Mean: []float64{0, 7}, SD: []float64{math.Inf(1), 2}, Scale: 0.1}})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(f.Coef[1]-7) > 1e-9 || math.Abs(f.Coef[0]-3) > 0.05 {
		t.Errorf("fit %v", f.Coef)
	}
}

func BenchmarkRegress(b *testing.B) {
	const n, p = 2000, 6
	x, y := make([]float64, n*p), make([]float64, n)
	for i := range y {
		for j := range p {
			x[i*p+j] = math.Cos(float64(i*(j+1)) * 0.01)
			y[i] += x[i*p+j] * float64(j)
		}
		y[i] += math.Sin(float64(i*i)) * 0.1
	}
	for b.Loop() {
		if _, err := Regress(x, y, p, Config{}); err != nil {
			b.Fatal(err)
		}
	}
}
