package stats

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"testing"

	"traplight/internal/reftest"

	"pgregory.net/rapid"
)

func readColumn(t *testing.T, path string, col int) []float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []float64
	for _, row := range rows {
		if v, err := strconv.ParseFloat(row[col], 64); err == nil {
			out = append(out, v)
		}
	}
	return out
}

// Certified values: NIST Statistical Reference Datasets, univariate part, by way
// of the reference tables.
func TestCertifiedUnivariate(t *testing.T) {
	want := map[string][3]float64{ // mean, sd, lag-1 autocorrelation
		"lew":       {-177.435, 277.332168044316, -0.307304800605679},
		"lottery":   {518.958715596330, 291.699727470969, -0.120948622967393},
		"mavro":     {2.001856, 0.000429123454003053, 0.937989183438248},
		"michelson": {299.8524, 0.0790105478190518, 0.535199668621283},
	}
	for name, w := range want {
		x := readColumn(t, reftest.Path(t, "references/strd_univariate/"+name+".csv"), 0)
		m, sd := MeanSD(x)
		for i, got := range []float64{m, sd, Lag1(x)} {
			if math.Abs(got/w[i]-1) > 1e-9 {
				t.Errorf("%s value %d: got %.15g, certified %.15g", name, i, got, w[i])
			}
		}
	}
}

// NIST StRD NumAcc4: 10000000.2, then 10000000.1 and 10000000.3 in turn, 1001
// values; certified mean 10000000.2, sd 0.1.
func TestCertifiedNumAcc4(t *testing.T) {
	x := []float64{10000000.2}
	for range 500 {
		x = append(x, 10000000.1, 10000000.3)
	}
	m, sd := MeanSD(x)
	if math.Abs(m-10000000.2) > 1e-8 || math.Abs(sd-0.1) > 1e-8 {
		t.Errorf("mean %.10f sd %.12f", m, sd)
	}
}

// Clopper–Pearson bounds with a closed form: none of n gives 1 − 0.025^(1/n).
func TestBinomialNoneSeen(t *testing.T) {
	for _, n := range []int{1, 10, 40, 300} {
		p := Binomial(0, n)
		if want := 1 - math.Pow(0.025, 1/float64(n)); p.Low != 0 || math.Abs(p.High-want) > 1e-9 {
			t.Errorf("0 of %d: %+v, want high %.6f", n, p, want)
		}
	}
	// 5 of 10: 0.187086 to 0.812914 (printed in many tables; from memory).
	if p := Binomial(5, 10); math.Abs(p.Low-0.187086) > 1e-6 || math.Abs(p.High-0.812914) > 1e-6 {
		t.Errorf("5 of 10: %+v", p)
	}
}

// Student t 0.975 quantiles: tables, as in references/estimation.md.
func TestTwoSidedAgainstTable(t *testing.T) {
	for _, r := range []struct{ df, t975 float64 }{
		{1, 12.7062}, {2, 4.30265}, {3, 3.18245}, {5, 2.57058}, {10, 2.22814}, {30, 2.04227},
	} {
		if p := TwoSided(r.t975, r.df); math.Abs(p-0.05) > 1e-5 {
			t.Errorf("df %g: p %.6f, want 0.05", r.df, p)
		}
		if z := AsNormal(r.t975, r.df); r.df >= 3 && math.Abs(z-1.95996) > 0.02 {
			t.Errorf("df %g: as normal %.4f, want 1.960", r.df, z)
		}
	}
}

// 1.482602 × MAD is the SD of a normal (references/knock.md); here the scale
// factor itself and that outliers below half do not move it.
func TestMADResists(t *testing.T) {
	x := []float64{1, 2, 3, 4, 5, 6, 7, 1e9, -1e9}
	if got := MAD(x); math.Abs(got-MADToSD*2) > 1e-9 {
		t.Errorf("MAD %g", got)
	}
}

// TestQuantileByHand: definition 7 of Hyndman and Fan (1996) on four numbers, worked
// out by hand.
func TestQuantileByHand(t *testing.T) {
	x := []float64{3, 1, 4, 2}
	for _, c := range []struct{ p, want float64 }{{0, 1}, {0.5, 2.5}, {0.9, 3.7}, {1, 4}} {
		if got := Quantile(x, c.p); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("Quantile(%v) = %v, want %v", c.p, got, c.want)
		}
	}
}

func TestQuantileProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 40).Draw(t, "x")
		p, q := rapid.Float64Range(0, 1).Draw(t, "p"), rapid.Float64Range(0, 1).Draw(t, "q")
		if p > q {
			p, q = q, p
		}
		a, b := Quantile(x, p), Quantile(x, q)
		if a > b+1e-9 || a < slices.Min(x) || b > slices.Max(x) {
			t.Fatalf("quantiles %g at %g, %g at %g of %v", a, p, b, q, x)
		}
	})
}
