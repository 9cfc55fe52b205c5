package weibull

import (
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/num/xrand"
	"traplight/internal/reftest"
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g ± %.2g", what, got, want, tol)
	}
}

// bearings are the endurances of 23 ball bearings, 10⁶ revolutions: J. Lieblein, M. Zelen, J.
// Res. Natl. Bur. Stand. 57 (1956) 273–316, the best known set of lives (from memory).
var bearings = []float64{17.88, 28.92, 33.00, 41.52, 42.12, 45.60, 48.40, 51.84, 51.96, 54.12, 55.56, 67.80, 68.64, 68.64, 68.88, 84.12, 93.12, 98.64, 105.12, 105.84, 127.92, 128.04, 173.40}

// TestBearings: Lawless has β 2.10 and η 81.9 for them (from memory).
func TestBearings(t *testing.T) {
	d := Data{Failures: bearings}
	l, err := Fit(d)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", l.Beta, 2.102, 0.001)
	near(t, "characteristic life", l.Eta, 81.87, 0.02)
	low, high := d.BetaBounds(l, 0.95)
	// Nearly symmetric in ln β; the normal approximation of Lawless gives 1.5 to 2.9 (from memory).
	if low < 1.4 || low > 1.6 || high < 2.65 || high > 2.95 {
		t.Errorf("slope from %.3f to %.3f", low, high)
	}
	a, b := d.LifeBounds(l, 0.9, 0.9)
	if m := l.At(0.9); !(a < m && m < b) || a < 15 || b > 45 {
		t.Errorf("B10 %.2f (%.2f to %.2f)", l.At(0.9), a, b)
	}
}

// TestWeibayes holds the table of bounds without failures (references, D) and the printed
// example (B).
func TestWeibayes(t *testing.T) {
	for _, r := range reftest.Rows(t, "weibayes_zero_failure.csv") {
		var ages []float64
		for _, s := range strings.Split(r["unit_ages"], ";") {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			ages = append(ages, v)
		}
		l := Life{r.Num(t, "beta"), AtLeast(r.Num(t, "beta"), ages, 0, r.Num(t, "confidence"))}
		near(t, "eta", l.Eta, r.Num(t, "eta_lower"), 1e-6)
		near(t, "B10", l.At(0.9), r.Num(t, "B10_lower"), 1e-6)
		near(t, "B1", l.At(0.99), r.Num(t, "B1_lower"), 1e-6)
	}
	// To show R = 0.90 at 1000 h with five units, slope 1.5 and one assumed failure (63.2 %)
	// each must run 1533 h: Nicholls and Lein, RAMS 2009 (B).
	c := 1 - math.Exp(-1)
	ages := []float64{1533.091, 1533.091, 1533.091, 1533.091, 1533.091}
	near(t, "age at 0.90", Life{1.5, AtLeast(1.5, ages, 0, c)}.At(0.9), 1000, 0.1)
	// Numbers of units without failure that show a reliability: 45, 22, 230 and, at twice the age
	// with slope 2, 12 (A, B); one unit less does not.
	for _, r := range []struct {
		r, c, ratio, beta float64
		units             int
	}{{0.95, 0.9, 1, 1, 45}, {0.90, 0.9, 1, 1, 22}, {0.99, 0.9, 1, 1, 230}, {0.95, 0.9, 2, 2, 12}} {
		shown := func(units int) bool {
			ages := slices.Repeat([]float64{100 * r.ratio}, units)
			return Life{r.beta, AtLeast(r.beta, ages, 0, r.c)}.At(r.r) >= 100
		}
		if !shown(r.units) || shown(r.units-1) {
			t.Errorf("%+v: shown by %d units %v, by one less %v", r, r.units, shown(r.units), shown(r.units-1))
		}
	}
	// χ²(2r + 2)/2 at 0.9 for 0 to 3 failures.
	for r, want := range []float64{2.302585, 3.889720, 5.322320, 6.680783} {
		near(t, "factor", Factor(r, 0.9), want, 1e-6)
	}
	if AtLeast(2, nil, 0, 0.9) != 0 {
		t.Error("a life from nothing")
	}
}

// reliability is the chance, 0–1, to survive age t, own unit.
func (l Life) reliability(t float64) float64 {
	if t <= 0 {
		return 1
	}
	return math.Exp(-math.Pow(t/l.Eta, l.Beta))
}

func TestLife(t *testing.T) {
	l := Life{2, 100}
	near(t, "characteristic", l.reliability(100), math.Exp(-1), 1e-15)
	near(t, "at", l.reliability(l.At(0.9)), 0.9, 1e-12)
	near(t, "next", l.Next(50, 10), 1-l.reliability(60)/l.reliability(50), 1e-12)
	near(t, "young", l.reliability(0), 1, 0)
	// Slope 1 forgets: the next step is as likely to fail at any age.
	e := Life{1, 100}
	near(t, "memoryless", e.Next(5, 10), e.Next(500, 10), 1e-12)
}

func TestRefused(t *testing.T) {
	for _, r := range []struct {
		d    Data
		want error
	}{
		{Data{}, ErrFew}, {Data{Failures: []float64{5}}, ErrFew}, {Data{Failures: []float64{5, 5, 5}}, ErrFew}, {Data{Suspensions: []float64{5, 6}}, ErrFew},
		{Data{Failures: []float64{5, 0}}, ErrAge}, {Data{Failures: []float64{5, 6}, Suspensions: []float64{math.NaN()}}, ErrAge},
	} {
		if _, err := Fit(r.d); !errors.Is(err, r.want) {
			t.Errorf("%+v: %v", r.d, err)
		}
	}
}

func TestFitProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Data{
			Failures:    rapid.SliceOfN(rapid.Float64Range(1, 1000), 2, 15).Draw(t, "failures"),
			Suspensions: rapid.SliceOfN(rapid.Float64Range(1, 1000), 0, 15).Draw(t, "suspensions"),
		}
		l, err := Fit(d)
		if err != nil {
			return
		}
		// The fit is the top: small changes are less likely.
		top := d.logLikelihood(l)
		for _, k := range []float64{0.99, 1.01} {
			if d.logLikelihood(Life{l.Beta * k, l.Eta}) > top+1e-9 || d.logLikelihood(Life{l.Beta, l.Eta * k}) > top+1e-9 {
				t.Fatalf("%+v is not the likeliest", l)
			}
		}
		// Ages in another unit give the same slope.
		e := Data{}
		for _, v := range d.Failures {
			e.Failures = append(e.Failures, 60*v)
		}
		for _, v := range d.Suspensions {
			e.Suspensions = append(e.Suspensions, 60*v)
		}
		m, err := Fit(e)
		if err != nil || math.Abs(m.Beta/l.Beta-1) > 1e-6 || math.Abs(m.Eta/l.Eta/60-1) > 1e-6 {
			t.Fatalf("%+v in another unit %+v (%v)", l, m, err)
		}
		low, high := d.BetaBounds(l, 0.9)
		if !(low < l.Beta && l.Beta < high) {
			t.Fatalf("slope %g outside of %g to %g", l.Beta, low, high)
		}
		// A unit more that has survived to a great age: the characteristic life cannot fall.
		d.Suspensions = append(d.Suspensions, 2000)
		if n, err := Fit(d); err != nil || n.Eta < l.Eta*(1-1e-9) {
			t.Fatalf("%+v, with a long-lived unit more %+v (%v)", l, n, err)
		}
	})
}

// TestBoundsHold: 90 % bounds of B10 from five failures and five suspensions hold the truth
// often enough.
func TestBoundsHold(t *testing.T) {
	r := xrand.Stream(1, "weibull bounds")
	truth := Life{2.5, 80}
	const n = 200
	held, heldBeta, n2 := 0, 0, 0
	for range n {
		d := Data{}
		for range 10 {
			life := truth.Eta * math.Pow(-math.Log(1-r.Float64()), 1/truth.Beta)
			if life < 75 {
				d.Failures = append(d.Failures, life)
			} else {
				d.Suspensions = append(d.Suspensions, 75)
			}
		}
		l, err := Fit(d)
		if err != nil {
			continue
		}
		n2++
		if a, b := d.LifeBounds(l, 0.9, 0.9); a <= truth.At(0.9) && truth.At(0.9) <= b {
			held++
		}
		if a, b := d.BetaBounds(l, 0.9); a <= truth.Beta && truth.Beta <= b {
			heldBeta++
		}
	}
	t.Logf("of %d: B10 held by %.1f %%, slope by %.1f %%", n2, 100*float64(held)/float64(n2), 100*float64(heldBeta)/float64(n2))
	if float64(held) < 0.80*float64(n2) || float64(heldBeta) < 0.80*float64(n2) || float64(held) > 0.98*float64(n2) {
		t.Errorf("of %d: B10 held by %d, slope by %d", n2, held, heldBeta)
	}
}

// TestBoundMeansItsConfidence: were η the bound, all units would have survived with a
// chance of just 1 − c, for r = 0; with r failures no more than r would have failed.
func TestBoundMeansItsConfidence(t *testing.T) {
	ages := []float64{12, 30, 30, 44}
	for _, c := range []float64{0.5, 0.9, 0.95} {
		l := Life{2.2, AtLeast(2.2, ages, 0, c)}
		all := 1.0
		for _, a := range ages {
			all *= l.reliability(a)
		}
		near(t, "chance of no failure", all, 1-c, 1e-12)
	}
	// Poisson with the mean Σ(t/η)^β: at most two with a chance of 1 − c.
	m := Factor(2, 0.9)
	near(t, "chance of two or fewer", math.Exp(-m)*(1+m+m*m/2), 0.1, 1e-9)
}
