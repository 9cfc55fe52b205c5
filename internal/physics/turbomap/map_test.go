package turbomap

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/compressor/compressortest"
	"traplight/internal/reftest"
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g ± %.2g", what, got, want, tol)
	}
}

// digitise reads n points of each speed line off the published compressor, from 40 to
// 98 % of its choking flow.
func digitise(t testing.TB, speeds []float64, n int) (*Compressor, compressortest.Ellipse) {
	e, ref := compressortest.Published(t)
	flowAt := func(w, pr float64) float64 { return e.Flow(w, pr, ref.Temperature, ref.Pressure) }
	var pts []Point
	for _, w := range speeds {
		most := flowAt(w, 1.0001)
		for k := range n {
			want := most * (0.40 + 0.58*float64(k)/float64(n-1))
			lo, hi := 1.0, 6.0 // flow falls with the ratio
			for range 60 {
				if mid := (lo + hi) / 2; flowAt(w, mid) > want {
					lo = mid
				} else {
					hi = mid
				}
			}
			pts = append(pts, Point{Speed: w, Flow: want, Ratio: lo, Efficiency: e.Efficiency(want, lo)})
		}
	}
	c, err := NewCompressor("published", ref, pts)
	if err != nil {
		t.Fatal(err)
	}
	return c, e
}

var sixLines = []float64{5000, 6000, 7000, 8000, 9000, 10000} // rad/s

// TestBetweenTheLines: what the map says between its lines is what the published model
// says there.
func TestBetweenTheLines(t *testing.T) {
	c, e := digitise(t, sixLines, 8)
	ref := c.Reference
	var worstSpeed, worstEff float64
	n := 0
	for w := 5100.0; w < 10000; w += 137 {
		for u := 0.03; u < 1; u += 0.06 {
			flow, ratio, _ := c.At(w, u)
			truth := e.Flow(w, ratio, ref.Temperature, ref.Pressure)
			if u > 0.9 || u < 0.05 {
				continue // the steep end: the ratio hardly tells the flow
			}
			p := c.Locate(truth, ratio)
			if p.Region != Inside {
				t.Fatalf("%.0f rad/s, share %.2f: %s", w, u, p.Region)
			}
			n++
			worstSpeed = math.Max(worstSpeed, math.Abs(p.Speed/w-1))
			if eff := e.Efficiency(truth, ratio); eff > 0.45 {
				worstEff = math.Max(worstEff, math.Abs(p.Efficiency-eff))
			}
			if d := math.Abs(flow/truth - 1); d > 0.01 {
				t.Errorf("%.0f rad/s, share %.2f: flow %.4f, the model has %.4f kg/s", w, u, flow, truth)
			}
		}
	}
	t.Logf("%d points: speed within %.2f %%, efficiency within %.4f", n, 100*worstSpeed, worstEff)
	if n < 400 || worstSpeed > 0.006 || worstEff > 0.01 {
		t.Errorf("%d points: speed off by %.2f %%, efficiency by %.4f", n, 100*worstSpeed, worstEff)
	}
}

// TestPublishedPoints holds the map to the rows of the published model that lie on it.
func TestPublishedPoints(t *testing.T) {
	c, _ := digitise(t, sixLines, 8)
	inside := 0
	for _, r := range reftest.Rows(t, "mvem_diesel_compressor.csv") {
		flow, pr := r.Num(t, "W_kg_s"), r.Num(t, "pressure_ratio")
		p := c.Locate(flow, pr)
		what := fmt.Sprintf("%s rad/s at %s", r["omega_rad_s"], r["pressure_ratio"])
		if p.Region == Surge { // 2.2 at 7500 rad/s: far to the left of the digitised part
			if flow > 0.1 {
				t.Errorf("%s: %+v", what, p)
			}
			continue
		}
		inside++
		near(t, what+", speed", p.Speed, r.Num(t, "omega_rad_s"), 0.005*p.Speed)
		near(t, what+", efficiency", p.Efficiency, r.Num(t, "eta"), 0.01)
		if r.Num(t, "eta") < 0.4 {
			continue // the steep end
		}
		near(t, what+", outlet", compressor.Outlet(c.Reference.Temperature, pr, p.Efficiency, 1.3964088397790055), r.Num(t, "T_out_K"), 3)
	}
	if inside < 5 {
		t.Errorf("only %d rows lie on the map", inside)
	}
}

// TestRotorSpeedLine: a measured speed line is given back where it was measured. NASA
// Rotor 37, an axial stage (AGARD Advisory Report 355, 1998): numbers on a curve, not a
// turbocharger.
func TestRotorSpeedLine(t *testing.T) {
	text, err := os.ReadFile(reftest.Path(t, "data", "compressor-stage", "rotor_speedline.csv"))
	if err != nil {
		t.Skip(err)
	}
	lines := strings.Split(strings.TrimSpace(string(text)), "\n")
	var b strings.Builder
	b.WriteString("# reference_temperature_k = 288.15\n# reference_pressure_kpa = 101.325\nspeed [rpm],flow [lb/s],pressure ratio,efficiency\n")
	for _, l := range lines[1:] {
		f := strings.Split(l, ",")
		w, _ := strconv.ParseFloat(f[0], 64)
		fmt.Fprintf(&b, "17188,%s\n8594,%g,1.2,%s\n", l, w/2, f[2]) // and an invented line below
	}
	c, err := ReadCompressor("rotor.csv", strings.NewReader(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range c.Points {
		if p.Speed < 1000 {
			continue
		}
		surge, choke := c.limits(p.Speed)
		_, ratio, eff := c.At(p.Speed, (p.Flow-surge)/(choke-surge))
		near(t, "ratio", ratio, p.Ratio, 0.012) // the points scatter at the vertical end; 41 slices smooth
		near(t, "efficiency", eff, p.Efficiency, 0.002)
	}
}

func TestRegions(t *testing.T) {
	c, e := digitise(t, sixLines, 8)
	ref := c.Reference
	for _, r := range []struct {
		name        string
		flow, ratio float64
		want        Region
	}{
		{"in the middle", 0.35, 2.0, Inside},
		{"far too little air", 0.05, 2.4, Surge},
		{"more than any line passes", 0.9, 1.5, Choke},
		{"more than the highest speed gives", 0.5, 3.6, TooFast},
		{"slower than the lowest line", 0.15, 1.1, BelowLines},
	} {
		p := c.Locate(r.flow, r.ratio)
		if p.Region != r.want {
			t.Errorf("%s: %s, want %s (%+v)", r.name, p.Region, r.want, p)
		}
		if (p.Region == Inside || p.Region == BelowLines) == math.IsNaN(p.Efficiency) {
			t.Errorf("%s: efficiency %g", r.name, p.Efficiency)
		}
	}
	// By similarity below the lowest line: the model's own flow there within 8 %; the
	// published ellipse is not quite similar to itself.
	flow, ratio, _ := c.At(4500, 0.5)
	near(t, "flow by similarity", flow, e.Flow(4500, ratio, ref.Temperature, ref.Pressure), 0.08*flow)
	// Margins: a quarter more flow at the same ratio leaves a quarter more to surge.
	a, b := c.Locate(0.28, 2.0), c.Locate(0.35, 2.0)
	near(t, "surge margin", 0.28*(1-a.SurgeMargin), 0.35*(1-b.SurgeMargin), 1e-9)
}

func TestLocateProperties(t *testing.T) {
	c, _ := digitise(t, sixLines, 8)
	rapid.Check(t, func(t *rapid.T) {
		flow, ratio := rapid.Float64Range(0.01, 1).Draw(t, "flow"), rapid.Float64Range(1.01, 5).Draw(t, "ratio")
		p := c.Locate(flow, ratio)
		if p.Region == "" || !(p.Speed > 0) || !(p.Share >= 0 && p.Share <= 1) || math.IsNaN(p.SurgeMargin) || math.IsNaN(p.ChokeMargin) {
			t.Fatalf("%+v", p)
		}
		if p.Region == Inside {
			_, r, _ := c.At(p.Speed, p.Share)
			if math.Abs(r/ratio-1) > 0.003 {
				t.Fatalf("at %.4f kg/s and %.4f it gives a speed with ratio %.4f", flow, ratio, r)
			}
			if p.SurgeMargin < -1e-6 || p.ChokeMargin < -1e-6 {
				t.Fatalf("inside, but %+v", p)
			}
			// More pressure at the same flow needs more speed.
			if q := c.Locate(flow, ratio*1.02); q.Region == Inside && q.Speed < p.Speed {
				t.Fatalf("%g rad/s for more pressure, %g for less", q.Speed, p.Speed)
			}
		}
	})
}

const smallMap = `# compressor of a made-up turbo
# reference_temperature_c = 25
# reference_pressure_kpa = 100
corrected speed [rpm];corrected flow [lb/min];pressure ratio;efficiency [%]
60000;10,0;1,62;66
60000;20,0;1,55;71
60000;26,0;1,30;60
90000;18,0;2,45;67
90000;30,0;2,35;74
90000;40,0;1,80;61
`
