package changepoint

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"testing"

	"traplight/internal/reftest"
)

// table reads the numbers of a CSV file by column name.
func table(t testing.TB, path string, comma rune) map[string][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.FieldsPerRecord = comma, -1
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]float64{}
	for _, row := range rows[1:] {
		for j, name := range rows[0] {
			if j < len(row) {
				v, err := strconv.ParseFloat(row[j], 64)
				if err != nil {
					v = math.NaN()
				}
				out[name] = append(out[name], v)
			}
		}
	}
	return out
}

// The Nile: R package strucchange 1.5.3, as in references/estimation.md.
func TestNile(t *testing.T) {
	y := table(t, reftest.Path(t, "references/nile.csv"), ',')["volume_1e8m3"]
	c := newLevel(y)
	for k, want := range []float64{2835156.75, 1597457.194} { // one level, and two
		r := c.rss(0, len(y))
		if k == 1 {
			r = c.rss(0, 28) + c.rss(28, len(y))
		}
		if math.Abs(r-want) > 1e-2 {
			t.Errorf("%d breaks: RSS %.3f, published %.3f", k, r, want)
		}
	}
	b, ok := Single(y, 0.15)
	if !ok || b.At != 28 {
		t.Fatalf("%+v", b)
	}
	for _, r := range []struct {
		name      string
		got, want float64
	}{
		{"mean before", b.Before, 1097.75}, {"mean after", b.After, 849.9722},
		{"sup F", b.F, 75.9298},
	} {
		if math.Abs(r.got-r.want) > 1e-3 {
			t.Errorf("%s %.5f, published %.5f", r.name, r.got, r.want)
		}
	}
	// Published as the last year of the old level: 1895–1902.
	if lo, hi := 1871+b.Low-1, 1871+b.High-1; lo != 1895 || hi != 1902 {
		t.Errorf("interval %d–%d, published 1895–1902", lo, hi)
	}
}

// 0.975 quantile of Yao's limit law for equal variances: 11.03 (Yao 1987, Ann.
// Statist. 15, 1321–1328, from memory).
func TestArgmaxLaw(t *testing.T) {
	if q := argmaxQuantile(0.975, 1); math.Abs(q-11.03) > 0.01 {
		t.Errorf("quantile %.4f", q)
	}
	for _, phi := range []float64{0.3, 1, 3} {
		last := 0.0
		for x := -40.0; x <= 40; x += 0.5 {
			p := argmaxCDF(x, phi)
			if p < last-1e-9 || p > 1+1e-9 {
				t.Fatalf("phi %g: not a distribution at %g: %g after %g", phi, x, p, last)
			}
			last = p
		}
	}
}
