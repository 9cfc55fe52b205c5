package fuel

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/quantity"
)

func TestByName(t *testing.T) {
	for _, r := range []struct {
		name   string
		stoich float64
		tol    float64
		ok     bool
	}{
		{"gasoline 98", 14.5, 0.01, true},
		{"gasoline 102", 14.5, 0.01, true},
		{"Petrol, 99 RON", 14.5, 0.01, true},
		{"Super Plus", 14.5, 0.01, true},
		{"Benzin", 14.5, 0.01, true},
		{"E85", 9.81, 0.06, true},
		{"e-85 race", 9.81, 0.06, true},
		{"pump gas E10", 14.1, 0.03, true},
		{"E100", 9.0, 0.02, true},
		{"ethanol", 9.1, 0.02, true},
		{"ethanol blend", 10.36, 0.03, true},
		{"70 % ethanol", 10.64, 0.03, true},
		{"methanol", 6.47, 0.01, true},
		{"M100", 6.47, 0.01, true},
		{"M85", 7.6, 0.2, true},
		{"", 14.5, 0.01, false},
		{"blue stuff", 14.5, 0.01, false},
	} {
		p, ok := ByName(r.name)
		if ok != r.ok {
			t.Errorf("%q: known %v, want %v", r.name, ok, r.ok)
		}
		near(t, r.name, p.Stoich.Value, r.stoich, r.tol)
		if !(p.Stoich.SD > 0 && p.LHV.SD > 0 && p.Density.SD > 0 && p.BSFC.SD > 0) {
			t.Errorf("%q: a spread is missing: %+v", r.name, p)
		}
	}
}

func TestResolve(t *testing.T) {
	sensor := func(e float64) *quantity.Estimate { return &quantity.Estimate{Value: e} }
	for _, r := range []struct {
		what   string
		k      Known
		stoich float64
		source string
		warn   string // part of the only warning; "" none
	}{
		{"all agree", Known{Name: "E85", Stoich: 9.76, Ethanol: sensor(0.85), Density: 781}, 9.81, "measured ethanol content", ""},
		{"a weaker blend in the tank", Known{Name: "E85", Stoich: 9.76, Ethanol: sensor(0.70)}, 10.64, "measured ethanol content", "stoich_afr means 9.76"},
		{"a weaker blend, nothing stated", Known{Name: "E85", Ethanol: sensor(0.70)}, 10.64, "measured ethanol content", `"E85" means 9.8`},
		{"stated", Known{Name: "gasoline 102", Stoich: 14.4}, 14.4, "stoich_afr", ""},
		{"stated against the name", Known{Name: "E85", Stoich: 14.7}, 14.7, "stoich_afr", `"E85" means 9.8`},
		{"name only", Known{Name: "methanol"}, 6.47, "fuel name", ""},
		{"methanol in an ethanol sensor", Known{Name: "methanol", Ethanol: sensor(0.9)}, 6.47, "fuel name", ""},
		{"nothing", Known{}, 14.5, "assumed", ""},
		{"a name that says nothing", Known{Name: "secret mix No. 5"}, 14.5, "assumed", "not known by name"},
		{"odd density", Known{Name: "E85", Density: 690}, 9.81, "fuel name", "far from"},
	} {
		a := Resolve(r.k)
		near(t, r.what, a.Stoich.Value, r.stoich, 0.035)
		if a.Source != r.source {
			t.Errorf("%s: source %q, want %q", r.what, a.Source, r.source)
		}
		if r.warn == "" && len(a.Warnings) > 0 || r.warn != "" && (len(a.Warnings) != 1 || !strings.Contains(a.Warnings[0], r.warn)) {
			t.Errorf("%s: warnings %q, want one with %q", r.what, a.Warnings, r.warn)
		}
	}
	if d := Resolve(Known{Name: "E85", Density: 781}).Density.Value; d != 781 {
		t.Errorf("the stated density was not taken: %g", d)
	}
	if a := Resolve(Known{Name: "petrol", Ethanol: sensor(0)}); a.Source != "measured ethanol content" || math.Abs(a.Stoich.Value-14.7) > 1e-9 {
		t.Errorf("no ethanol measured: %+v", a)
	}
}

// Mixing is a weighted mean: between its parts, blind to order and to how much there is.
func TestMixProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.SliceOfN(rapid.Float64Range(0.01, 5), 3, 3).Draw(t, "volumes")
		a, b, c := Part{PureGasoline(), v[0]}, Part{PureEthanol(), v[1]}, Part{PureMethanol(), v[2]}
		p, q := Mix(a, b, c), Mix(c, a, b)
		a.Volume, b.Volume, c.Volume = 7*v[0], 7*v[1], 7*v[2]
		r := Mix(a, b, c)
		for _, x := range [][3]float64{
			{p.Stoich.Value, q.Stoich.Value, r.Stoich.Value}, {p.LHV.Value, q.LHV.Value, r.LHV.Value}, {p.Density.Value, q.Density.Value, r.Density.Value},
		} {
			if math.Abs(x[1]/x[0]-1) > 1e-12 || math.Abs(x[2]/x[0]-1) > 1e-12 {
				t.Fatalf("order or amount matters: %v", x)
			}
		}
		if p.Stoich.Value < 6.4 || p.Stoich.Value > 14.7 {
			t.Fatalf("stoichiometry %g lies outside its parts", p.Stoich.Value)
		}
		e := rapid.Float64Range(0, 1).Draw(t, "ethanol")
		if s, w := EthanolBlend(e, 0), EthanolBlend(e, 0.05); w.Stoich.SD < s.Stoich.SD || w.Stoich.Value != s.Stoich.Value {
			t.Fatal("doubt in the content narrows the spread")
		}
	})
	if p := Mix(); !math.IsNaN(p.Density.Value) {
		t.Errorf("a blend of nothing: %+v", p)
	}
}

func FuzzByName(f *testing.F) {
	for _, s := range []string{"E85", "gasoline 98", "m100", "e999", "99999999999999999999 %"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		p, _ := ByName(s)
		if !(p.Stoich.Value > 6 && p.Stoich.Value < 15 && p.Density.Value > 700) {
			t.Fatalf("%q gave %+v", s, p)
		}
	})
}
