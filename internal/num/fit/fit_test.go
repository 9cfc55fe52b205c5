package fit_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/num/fit"
	"traplight/internal/reftest"
)

func table(t *testing.T, path string) [][]string {
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func num(t *testing.T, s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func gauss(x float64, b []float64) float64 {
	a, c := (x-b[3])/b[4], (x-b[6])/b[7]
	return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-a*a) + b[5]*math.Exp(-c*c)
}
func cubics(x float64, b []float64) float64 {
	return (b[0] + x*(b[1]+x*(b[2]+x*b[3]))) / (1 + x*(b[4]+x*(b[5]+x*b[6])))
}
func chwirut(x float64, b []float64) float64 { return math.Exp(-b[0]*x) / (b[1] + b[2]*x) }
func rise(x float64, b []float64) float64    { return b[0] * (1 - math.Exp(-b[1]*x)) }
func lanczos(x float64, b []float64) float64 {
	return b[0]*math.Exp(-b[1]*x) + b[2]*math.Exp(-b[3]*x) + b[4]*math.Exp(-b[5]*x)
}

// The models as published with the sets.
var models = map[string]func(x float64, b []float64) float64{
	"Bennett5": func(x float64, b []float64) float64 { return b[0] * math.Pow(b[1]+x, -1/b[2]) },
	"BoxBOD":   rise, "Misra1a": rise,
	"Chwirut1": chwirut, "Chwirut2": chwirut,
	"DanWood": func(x float64, b []float64) float64 { return b[0] * math.Pow(x, b[1]) },
	"Eckerle4": func(x float64, b []float64) float64 {
		z := (x - b[2]) / b[1]
		return b[0] / b[1] * math.Exp(-0.5*z*z)
	},
	"ENSO": func(x float64, b []float64) float64 {
		w := 2 * math.Pi * x
		return b[0] + b[1]*math.Cos(w/12) + b[2]*math.Sin(w/12) + b[4]*math.Cos(w/b[3]) + b[5]*math.Sin(w/b[3]) +
			b[7]*math.Cos(w/b[6]) + b[8]*math.Sin(w/b[6])
	},
	"Gauss1": gauss, "Gauss2": gauss, "Gauss3": gauss,
	"Hahn1": cubics, "Thurber": cubics,
	"Kirby2":   func(x float64, b []float64) float64 { return (b[0] + x*(b[1]+x*b[2])) / (1 + x*(b[3]+x*b[4])) },
	"Lanczos1": lanczos, "Lanczos2": lanczos, "Lanczos3": lanczos,
	"MGH09":   func(x float64, b []float64) float64 { return b[0] * (x*x + x*b[1]) / (x*x + x*b[2] + b[3]) },
	"MGH10":   func(x float64, b []float64) float64 { return b[0] * math.Exp(b[1]/(x+b[2])) },
	"MGH17":   func(x float64, b []float64) float64 { return b[0] + b[1]*math.Exp(-x*b[3]) + b[2]*math.Exp(-x*b[4]) },
	"Misra1b": func(x float64, b []float64) float64 { return b[0] * (1 - math.Pow(1+b[1]*x/2, -2)) },
	"Misra1c": func(x float64, b []float64) float64 { return b[0] * (1 - math.Pow(1+2*b[1]*x, -0.5)) },
	"Misra1d": func(x float64, b []float64) float64 { return b[0] * b[1] * x / (1 + b[1]*x) },
	"Rat42":   func(x float64, b []float64) float64 { return b[0] / (1 + math.Exp(b[1]-b[2]*x)) },
	"Rat43":   func(x float64, b []float64) float64 { return b[0] / math.Pow(1+math.Exp(b[1]-b[2]*x), 1/b[3]) },
	"Roszman1": func(x float64, b []float64) float64 {
		return b[0] - b[1]*x - math.Atan(b[2]/(x-b[3]))/math.Pi
	},
}

// The NIST Statistical Reference Datasets for nonlinear regression: certified
// values and their standard deviations from the second start, and from the
// first, harder one for the sets of lower difficulty.
func TestStRD(t *testing.T) {
	dir := reftest.Path(t, "references")
	type set struct {
		p1, p2, want, sd []float64
		rss              float64
	}
	sets := map[string]*set{}
	for _, r := range table(t, filepath.Join(dir, "strd_nls_certified.csv")) {
		s := sets[r[0]]
		if s == nil {
			s = &set{}
			sets[r[0]] = s
		}
		s.p1, s.p2 = append(s.p1, num(t, r[2])), append(s.p2, num(t, r[3]))
		s.want, s.sd, s.rss = append(s.want, num(t, r[4])), append(s.sd, num(t, r[5])), num(t, r[6])
	}
	if len(sets) != 26 {
		t.Fatalf("%d sets, want 26", len(sets))
	}
	lower := "Misra1a Misra1b Chwirut1 Chwirut2 Gauss1 Gauss2 DanWood" // NIST's "lower" level that are at hand
	for name, s := range sets {
		var x, y []float64
		for _, r := range table(t, filepath.Join(dir, "strd_nls", name+".csv")) {
			y, x = append(y, num(t, r[0])), append(x, num(t, r[1]))
		}
		f := models[name]
		run := func(start []float64, digits float64, label string) {
			res, err := fit.Fit(fit.Problem{M: len(x), Residuals: func(p, r []float64) {
				for i := range x {
					r[i] = y[i] - f(x[i], p)
				}
			}}, start, fit.Settings{Central: true, MaxIterations: 2000, Tolerance: 1e-13, Scale: true})
			if err != nil {
				t.Errorf("%s %s: %v", name, label, err)
				return
			}
			for i, w := range s.want {
				if d := -math.Log10(math.Abs(res.P[i]-w) / math.Abs(w)); d < digits {
					t.Errorf("%s %s: b%d = %.10g, certified %.10g (%.1f digits, want %g; status %d after %d)", name, label, i+1, res.P[i], w, d, digits, res.Status, res.Iterations)
				}
				if name != "Lanczos1" && math.Abs(res.SD[i]/s.sd[i]-1) > 1e-3 {
					t.Errorf("%s %s: sd of b%d = %.6g, certified %.6g", name, label, i+1, res.SD[i], s.sd[i])
				}
			}
			if name != "Lanczos1" && math.Abs(res.RSS/s.rss-1) > 1e-6 {
				t.Errorf("%s %s: rss %.10g, certified %.10g", name, label, res.RSS, s.rss)
			}
		}
		digits := 4.0
		if strings.Contains(lower, name) {
			digits = 6
			run(s.p1, digits, "from start 1")
		}
		run(s.p2, digits, "from start 2")
	}
}

// A line with a prior on its slope: the answer is the textbook's weighted mean.
func TestPrior(t *testing.T) {
	res, err := fit.Fit(fit.Problem{M: 1, Residuals: func(p, r []float64) { r[0] = (p[0] - 4) / 2 },
		Priors: []fit.Prior{{Mean: 0, SD: 1}}}, []float64{9}, fit.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(res.P[0]-0.8) > 1e-6 || math.Abs(res.SD[0]-math.Sqrt(0.8)) > 1e-6 || math.Abs(res.Learnt(0)-0.2) > 1e-6 {
		t.Errorf("%v ± %v, learnt %v; want 0.8 ± 0.894, learnt 0.2", res.P, res.SD, res.Learnt(0))
	}
}

func TestBoundsAndHuber(t *testing.T) {
	bowl := func(p, r []float64) { r[0], r[1] = p[0]-3, 2*(p[1]+1)+0.5*(p[0]-3) }
	res, _ := fit.Fit(fit.Problem{M: 2, Residuals: bowl, Lower: []float64{0, 0}, Upper: []float64{2, 5}}, []float64{1, 1}, fit.Settings{})
	if math.Abs(res.P[0]-2) > 1e-7 || math.Abs(res.P[1]) > 1e-7 || !res.AtBound[0] || !res.AtBound[1] {
		t.Errorf("%v %v, want both at their bound 2, 0", res.P, res.AtBound)
	}
	data := []float64{1, 1.1, 0.9, 1.05, 0.95, 100}
	res, _ = fit.Fit(fit.Problem{M: 6, Residuals: func(p, r []float64) {
		for i, y := range data {
			r[i] = (y - p[0]) / 0.1
		}
	}}, []float64{50}, fit.Settings{Huber: 1.345})
	if math.Abs(res.P[0]-1) > 0.06 {
		t.Errorf("%v, an outlier moved the mean", res.P)
	}
}

func TestErrors(t *testing.T) {
	ok := func(p, r []float64) { r[0] = p[0] }
	for _, c := range []struct {
		p    fit.Problem
		want error
	}{
		{fit.Problem{M: 1, Residuals: ok, Lower: []float64{0, 0}}, fit.ErrShape},
		{fit.Problem{M: 1, Residuals: ok, Lower: []float64{2}, Upper: []float64{1}}, fit.ErrBounds},
		{fit.Problem{M: 1, Residuals: func(_, r []float64) { r[0] = math.NaN() }}, fit.ErrStart},
	} {
		if _, err := fit.Fit(c.p, []float64{1}, fit.Settings{}); err != c.want {
			t.Errorf("%v, want %v", err, c.want)
		}
	}
}

// Scaling a parameter's unit scales its answer and nothing else.
func TestUnits(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		u := math.Exp(rapid.Float64Range(-8, 8).Draw(r, "log unit"))
		a := rapid.Float64Range(0.5, 5).Draw(r, "a")
		k := rapid.Float64Range(0.1, 2).Draw(r, "k")
		x := []float64{0.5, 1, 2, 3, 5}
		prob := func(u float64) fit.Problem {
			return fit.Problem{M: 5, Residuals: func(p, res []float64) {
				for i, v := range x {
					res[i] = rise(v, []float64{p[0] / u, p[1]}) - rise(v, []float64{a, k}) - 0.01*math.Sin(float64(7*i))
				}
			}}
		}
		one, _ := fit.Fit(prob(1), []float64{1, 1}, fit.Settings{Central: true})
		two, _ := fit.Fit(prob(u), []float64{u, 1}, fit.Settings{Central: true})
		if math.Abs(two.P[0]/u/one.P[0]-1) > 1e-5 || math.Abs(two.P[1]/one.P[1]-1) > 1e-5 {
			r.Fatalf("%v and %v in units of %g", one.P, two.P, u)
		}
	})
}

// A bound that cuts the first step short must not end the fit: the minimum over
// the feasible line is found.
func TestBoundCutsStep(t *testing.T) {
	// strongly coupled: the free minimum is far outside in p1
	res, err := fit.Fit(fit.Problem{M: 3, Residuals: func(p, r []float64) {
		r[0] = 10 * (p[0] + p[1] - 5)
		r[1] = p[0] - p[1] - 9
		r[2] = 0.1 * p[0]
	}, Lower: []float64{0, 0}, Upper: []float64{10, 1}}, []float64{1, 0.5}, fit.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	// p1 at 0: minimise 100(p0−5)² + (p0−9)² + 0.01 p0²
	want := (500 + 9.0) / 101.01
	if math.Abs(res.P[0]-want) > 1e-6 || res.P[1] != 0 {
		t.Errorf("%v, want %g and 0", res.P, want)
	}
}
