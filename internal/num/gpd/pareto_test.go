package gpd

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"traplight/internal/reftest"

	"pgregory.net/rapid"
)

// The sea levels of Port Pirie (Coles 2001, section 1.3, as in references/knock.md) over two
// thresholds, against the generalised-Pareto fits of two general-purpose packages, which agree
// to the digits given: R evd 2.3-6.1 (fpot) and SciPy 1.10.1 (stats.genpareto).
func TestPortPirie(t *testing.T) {
	file, err := os.Open(reftest.Path(t, "references/portpirie.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var x []float64
	for _, r := range rows[1:] {
		v, _ := strconv.ParseFloat(r[1], 64)
		x = append(x, v)
	}
	for _, c := range []struct {
		threshold            float64 // m
		n                    int
		scale, shape, loglik float64
	}{
		{3.7, 59, 0.43577, -0.39024, 13.031969},
		{3.8, 49, 0.36044, -0.33347, 17.341656},
		{3.9, 36, 0.32401, -0.32428, 16.244825},
	} {
		f, err := Exceedances(x, c.threshold)
		if err != nil {
			t.Fatal(err)
		}
		if f.N != c.n || math.Abs(f.Scale-c.scale) > 1e-4 || math.Abs(f.Shape-c.shape) > 2e-4 || math.Abs(f.LogLik-c.loglik) > 1e-5 {
			t.Errorf("over %g m: %+v, packages say %+v", c.threshold, f, c)
		}
	}
}

// Samples drawn by inversion from a known law must be recovered within four of
// the stated standard deviations.
func TestParetoRecovers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		xi := rapid.Float64Range(-0.35, 0.6).Draw(t, "shape")
		s := rapid.Float64Range(0.01, 100).Draw(t, "scale")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		x := make([]float64, 3000)
		for i := range x {
			u := r.Float64()
			x[i] = 5
			if i%3 == 0 {
				x[i] = 10 - s*math.Log(u)
				if math.Abs(xi) > 1e-9 {
					x[i] = 10 + s/xi*math.Expm1(-xi*math.Log(u))
				}
			}
		}
		f, err := Exceedances(x, 10)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Shape-xi) > 5*f.ShapeSD || math.Abs(f.Scale-s) > 5*f.ScaleSD || math.Abs(f.Rate-1.0/3) > 1e-3 {
			t.Fatalf("truth %g %g, fit %+v", s, xi, f)
		}
		for _, p := range []float64{0.1, 0.01, 1e-4} {
			if q := f.Survival(f.Level(p)); math.Abs(q/p-1) > 1e-6 {
				t.Fatalf("survival of the %g level is %g", p, q)
			}
		}
	})
}

// The exponential is the law at shape nought: closed-form likelihood −n(ln x̄+1)
// bounds the fit from below.
func TestParetoBeatsTheExponential(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	x, sum := make([]float64, 400), 0.0
	for i := range x {
		x[i] = -math.Log(r.Float64())
		sum += x[i]
	}
	f, err := Exceedances(x, 0)
	if err != nil {
		t.Fatal(err)
	}
	n := float64(len(x))
	if e := -n * (math.Log(sum/n) + 1); f.LogLik < e-1e-9 || f.LogLik > e+8 {
		t.Errorf("likelihood %g, exponential %g", f.LogLik, e)
	}
}

func TestTooFew(t *testing.T) {
	for _, x := range [][]float64{{1, 2, 3}, {2, 2, 2, 2, 2, 2, 2, 2, 2}} {
		if _, err := Exceedances(x, 0); err != ErrFew {
			t.Errorf("%v: error %v", x, err)
		}
	}
}
