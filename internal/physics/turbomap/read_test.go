package turbomap

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"traplight/internal/physics/compressor"
)

func TestReadCompressor(t *testing.T) {
	c, err := ReadCompressor("m.csv", strings.NewReader(smallMap))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "reference", c.Reference.Temperature, 298.15, 1e-9)
	near(t, "flow", c.Points[0].Flow, 10*0.45359237/60, 1e-9)
	near(t, "speed", c.Speeds[1], 90000*math.Pi/30, 1e-6)
	near(t, "efficiency", c.Points[1].Efficiency, 0.71, 1e-12)
	if len(c.Told) != 0 {
		t.Errorf("%q", c.Told)
	}
	if got := c.Describe(); got != "m: 6 points on 2 speed lines, 60000 to 90000 rpm, with efficiency, referred to 298.1 K and 100.0 kPa" {
		t.Error(got)
	}
	// The same map in kg/s, tip speed and volume flow gives the same answers.
	var v strings.Builder
	v.WriteString("# wheel_diameter_mm = 80\n# reference_temperature_k = 298.15\n# reference_pressure_kpa = 100\nspeed [m/s],flow [m3/s],ratio,eta\n")
	rho := 100e3 / (compressor.GasAir * 298.15)
	for _, p := range c.Points {
		fmt.Fprintf(&v, "%.9g,%.9g,%g,%g\n", p.Speed*0.04, p.Flow/rho, p.Ratio, p.Efficiency)
	}
	d, err := ReadCompressor("v.csv", strings.NewReader(v.String()))
	if err != nil {
		t.Fatal(err)
	}
	a, b := c.Locate(0.2, 1.9), d.Locate(0.2, 1.9)
	near(t, "speed in other units", b.Speed, a.Speed, 1e-3)
	near(t, "efficiency in other units", b.Efficiency, a.Efficiency, 1e-6)
	if len(d.Told) != 1 {
		t.Errorf("volume flow: %q", d.Told)
	}
}

func TestBadMaps(t *testing.T) {
	head := "speed [rpm],flow [kg/s],pressure ratio,efficiency\n"
	for _, r := range []struct{ name, text, want string }{
		{"empty", "", `m.csv: no heading line found; a map needs one, such as "corrected speed [rpm], corrected flow [kg/s], efficiency, pressure ratio"`},
		{"heading only", head, "m.csv: there are no points below the heading"},
		{"no unit", "speed,flow [kg/s],ratio\n1,1,1\n", `m.csv:1: column "speed" needs a unit in brackets, as in "corrected speed [rpm]"`},
		{"no ratio", "speed [rpm],flow [kg/s]\n1,1\n", `m.csv:1: no column for the pressure ratio; the heading may be "corrected speed [rpm], corrected flow [kg/s], efficiency, pressure ratio"`},
		{"twice", "speed [rpm],turbo speed [rpm],flow [kg/s],ratio\n", `m.csv:1: two columns hold the corrected speed: "speed [rpm]" and "turbo speed [rpm]"`},
		{"not a number", head + "60000,0.1,x,0.7\n", `m.csv:2: column 3, the pressure ratio: "x" is not a number`},
		{"empty cell", head + "60000,,1.5,0.7\n", "m.csv:2: column 2, the corrected flow, is empty"},
		{"decimal comma between commas", head + "60000,0,1,1,5,0,7\n", "m.csv:2: 7 cells where the heading has 4 columns; decimals are written with a point, or with a comma between semicolons"},
		{"impossible", head + "60000,0.1,1.5,-0.2\n", "m.csv:2: an efficiency of -0.2 is not possible"},
		{"one point on a line", head + "60000,0.1,1.5,0.7\n60000,0.2,1.4,0.7\n80000,0.2,1.9,0.7\n", "m.csv: the line of 80000 rpm has one point; it needs two or more, from surge to choke"},
		{"one line", head + "60000,0.1,1.5,0.7\n60000,0.2,1.4,0.7\n", "m.csv: there is one speed line only; a map needs two or more"},
		{"same flow", head + "60000,0.1,1.5,0.7\n60000,0.1,1.4,0.7\n60000,0.2,1.4,0.7\n", "m.csv: the line of 60000 rpm has two points at one flow"},
		{"half a reference", "# reference_temperature_k = 298\n" + head + "60000,0.1,1.5,0.7\n", "m.csv: state both # reference_temperature_k and # reference_pressure_kpa, or neither"},
		{"strange reference", "# reference_temperature_k = 25\n# reference_pressure_kpa = 100\n" + head + "60000,0.1,1.5,0.7\n", "m.csv: a reference state of 25.0 K and 100.0 kPa is not one of a compressor map: is a unit wrong?"},
		{"tip speed without wheel", "speed [m/s],flow [kg/s],ratio\n300,0.1,1.5\n300,0.2,1.4\n400,0.1,1.9\n400,0.3,1.8\n", "m.csv: speeds in m/s are those of the wheel's rim; state # wheel_diameter_mm"},
	} {
		_, err := ReadCompressor("m.csv", strings.NewReader(r.text))
		var at *Error
		if !errors.As(err, &at) || err.Error() != r.want {
			t.Errorf("%s:\n got %v\nwant %s", r.name, err, r.want)
		}
	}
}

func TestTurbine(t *testing.T) {
	text := "# reference_temperature_k = 288.15\n# reference_pressure_kpa = 101.325\nexpansion ratio,corrected flow [kg/s],efficiency\n1.2,0.10,0.60\n1.5,0.14,0.66\n2.0,0.16,0.70\n2.01,0.16,0.70\n3.0,0.165,0.68\n"
	m, err := ReadTurbine("t.csv", strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	// At the reference state the true flow is the corrected one; at four times the absolute
	// temperature half of it, at twice the pressure twice.
	near(t, "flow", m.Flow(1.5, 288.15, 101325), 0.14, 1e-9)
	near(t, "hot", m.Flow(1.5, 4*288.15, 101325), 0.07, 1e-9)
	near(t, "dense", m.Flow(1.5, 288.15, 202650), 0.28, 1e-9)
	near(t, "choked", m.Flow(5, 288.15, 101325), 0.165, 1e-9)
	near(t, "no ratio, no flow", m.Flow(1, 288.15, 101325), 0, 0)
	near(t, "efficiency", m.Efficiency(2.005), 0.70, 1e-9)
	if m.Beyond(2.9) || !m.Beyond(3.1) {
		t.Error("bounds")
	}
	last := 0.0
	for r := 1.01; r < 4; r += 0.01 {
		w := m.Flow(r, 1100, 200e3)
		if w < last-1e-12 {
			t.Fatalf("at %.2f it passes less than before", r)
		}
		last = w
	}
	for _, bad := range []struct{ text, want string }{
		{"expansion ratio,flow [kg/s]\n1.5,0.1\n", "t.csv: one expansion ratio only; a swallowing line needs two or more"},
		{"expansion ratio,flow [kg/s]\n0.9,0.1\n", "t.csv:2: an expansion ratio of 0.9 is not possible"},
	} {
		if _, err := ReadTurbine("t.csv", strings.NewReader(bad.text)); err == nil || err.Error() != bad.want {
			t.Errorf("%v, want %s", err, bad.want)
		}
	}
}

func FuzzReadCompressor(f *testing.F) {
	f.Add(smallMap)
	f.Add("# reference_temperature_k = x\nspeed [rpm],flow [kg/s],ratio\n1,2,3\n")
	f.Add("speed [m/s]\tflow [m3/s]\tratio\n1\t2\t3\n")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ReadCompressor("m.csv", strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "m.csv") {
				t.Fatal(err)
			}
			return
		}
		if p := c.Locate(c.Points[0].Flow, c.Points[0].Ratio); p.Region == "" || math.IsNaN(p.Speed) {
			t.Fatalf("%+v", p)
		}
	})
}

func FuzzReadTurbine(f *testing.F) {
	f.Add("# reference_temperature_k = 288.15\n# reference_pressure_kpa = 101.325\nexpansion ratio,corrected flow [kg/s],efficiency\n1.2,0.10,0.60\n2.0,0.16,70\n")
	f.Add("expansion ratio;flow [lb/min]\n1,5;0,1\n2;0.1\n")
	f.Fuzz(func(t *testing.T, text string) {
		m, err := ReadTurbine("t.csv", strings.NewReader(text))
		if err != nil {
			if !strings.HasPrefix(err.Error(), "t.csv") {
				t.Fatal(err)
			}
			return
		}
		for _, ratio := range []float64{1, m.first, (m.first + m.last) / 2, m.last, 2 * m.last} {
			if w := m.Flow(ratio, 1100, 2e5); !(w >= 0) || math.IsInf(w, 0) {
				t.Fatalf("at a ratio of %g it passes %g kg/s", ratio, w)
			}
		}
	})
}
