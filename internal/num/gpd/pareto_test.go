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

// Port Pirie annual maxima: Coles (2001) section 3.4.1 and R evd 2.3.6.1, as in
// references/knock.md.
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
	f, err := Maxima(x)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct {
		name           string
		got, want, tol float64
	}{
		{"location", f.Location, 3.874751, 5e-5}, {"scale", f.Scale, 0.198049, 5e-5}, {"shape", f.Shape, -0.050117, 2e-4},
		{"location SD", f.LocationSD, 0.0279, 1e-4}, {"scale SD", f.ScaleSD, 0.0202, 1e-4}, {"shape SD", f.ShapeSD, 0.0983, 2e-4},
		{"log-likelihood", f.LogLik, 4.339058, 1e-5}, {"10-year level", f.Level(0.1), 4.296221, 1e-4}, {"100-year level", f.Level(0.01), 4.688413, 3e-4},
	} {
		if math.Abs(r.got-r.want) > r.tol {
			t.Errorf("%s %.6f, published %.6f", r.name, r.got, r.want)
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
	if _, err := Exceedances([]float64{1, 2, 3}, 0); err != ErrFew {
		t.Errorf("error %v", err)
	}
	if _, err := Maxima([]float64{2, 2, 2, 2, 2, 2, 2, 2, 2}); err != ErrFew {
		t.Errorf("error %v", err)
	}
}
