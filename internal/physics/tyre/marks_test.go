package tyre

import (
	"math"
	"strconv"
	"testing"

	"traplight/internal/reftest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

func TestMarks(t *testing.T) {
	// ISO 4000-1 and ECE R30 annex 4 as agreed by public tables (trust B).
	for _, row := range reftest.Rows(t, "tyre_load_index.csv") {
		li := int(row.Num(t, "load_index"))
		kg, ok := IndexLoad(li)
		if !ok || kg != row.Num(t, "kg") {
			t.Errorf("load index %d: %g kg, %v; want %s", li, kg, ok, row["kg"])
		}
		near(t, "rule 45·10^(LI/80), load index "+strconv.Itoa(li), 45*math.Pow(10, float64(li)/80), kg, 0.018*kg)
	}
	for _, row := range reftest.Rows(t, "tyre_speed_symbol.csv") {
		v, beyond, ok := SymbolSpeed(row["symbol"])
		if !ok || beyond != (row["symbol"] == "(Y)") {
			t.Errorf("symbol %s: ok %v, beyond %v", row["symbol"], ok, beyond)
		}
		near(t, "symbol "+row["symbol"], v*3.6, row.Num(t, "km_h"), 1e-9)
	}
	if _, ok := IndexLoad(131); ok {
		t.Error("load index 131 was answered")
	}
	if _, _, ok := SymbolSpeed("B7"); ok {
		t.Error("an unknown symbol was answered")
	}
	// Load at speed (V and W published, Y from memory).
	for _, r := range []struct {
		symbol    string
		kmh, want float64
	}{{"V", 210, 1}, {"V", 240, 0.91}, {"W", 255, 0.925}, {"W", 270, 0.85}, {"Y", 285, 0.925}, {"Y", 300, 0.85}, {"Y", 321.9, 0}, {"H", 205, 1}, {"H", 215, 0}} {
		near(t, r.symbol+" at "+strconv.FormatFloat(r.kmh, 'g', -1, 64), SpeedLoadShare(r.symbol, r.kmh/3.6), r.want, 1e-9)
	}
}

func TestParseSize(t *testing.T) {
	for _, r := range []struct {
		marking            string
		radius, width, rim float64 // m, m, inches
		li                 int
		symbol             string
	}{
		// Arithmetic from the definition of each marking (A).
		{"26.0x9.5-16 drag radial", 13 * inch, 9.5 * inch, 16, 0, ""},
		{"28x10.5-15", 14 * inch, 10.5 * inch, 15, 0, ""},
		{"28 x 10.5 R15", 14 * inch, 10.5 * inch, 15, 0, ""},
		{"26.0/9.5-16", 13 * inch, 9.5 * inch, 16, 0, ""},
		{"27.8x10.0 drag radial", 13.9 * inch, 10 * inch, 0, 0, ""},
		{"28x10.5", 14 * inch, 10.5 * inch, 0, 0, ""},
		{"275/45-17", 8.5*inch + 0.275*0.45, 0.275, 17, 0, ""},
		{"P275/45R17", 8.5*inch + 0.275*0.45, 0.275, 17, 0, ""},
		{"275/40ZR18 103Y", 9*inch + 0.275*0.40, 0.275, 18, 103, "Y"},
		{"275/40 (ZR) 18 103 (Y) street", 9*inch + 0.275*0.40, 0.275, 18, 103, "(Y)"},
		{"255/40-18 street", 9*inch + 0.255*0.40, 0.255, 18, 0, ""},
		{"260/660-18", 0.330, 0.260, 18, 0, ""},
		{"24/64-18", 0.320, 0.240, 18, 0, ""},
	} {
		s, ok := ParseSize(r.marking)
		if !ok {
			t.Errorf("%q was not understood", r.marking)
			continue
		}
		near(t, r.marking+" radius", s.Radius, r.radius, 1e-9)
		near(t, r.marking+" width", s.Width, r.width, 1e-9)
		near(t, r.marking+" rim", s.Rim, r.rim*inch, 1e-9)
		if s.LoadIndex != r.li || s.SpeedSymbol != r.symbol {
			t.Errorf("%q: service description %d %q, want %d %q", r.marking, s.LoadIndex, s.SpeedSymbol, r.li, r.symbol)
		}
	}
	for _, bad := range []string{"", "slick", "16x26", "10/45-17", "275/45", "99x99-99", "20x12", "28x10.5-45", "205/5-15",
		"15x8-12", "48x10-15", "26x3-16", "26x24-16", "26x9.5-25"} {
		if s, ok := ParseSize(bad); ok {
			t.Errorf("%q was taken for %+v", bad, s)
		}
	}
}

func FuzzParseSize(f *testing.F) {
	for _, s := range []string{"26.0x9.5-16", "275/45R17 99Y", "260/660-18", "x", "é/é-é", "275/45-17ſ"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if z, ok := ParseSize(s); ok && !(z.Radius >= 0.2 && z.Radius <= 0.6) {
			t.Fatalf("%q gave %+v", s, z)
		}
	})
}
