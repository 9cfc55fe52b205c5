package quantity

import (
	"math"
	"testing"
)

// TestFactors checks the unit table against NIST SP 811 (2008), appendix B.
func TestFactors(t *testing.T) {
	for _, c := range []struct {
		x        float64
		unit     string
		want     float64 // SI
		relative float64 // tolerance
	}{
		{1, "ft", 0.3048, 0},
		{1, "mile", 1609.344, 0},
		{1, "mph", 0.44704, 1e-15},
		{1, "lb", 0.45359237, 0},
		{1, "lbf", 4.4482216152605, 1e-14},
		{1, "psi", 6894.75729316836, 1e-14},
		{1, "bar", 1e5, 0},
		{1, "atm", 101325, 0},
		{1, "inHg", 3386.389, 1e-6},
		{29.92, "inHg", 101320.8, 1e-6},
		{1, "mmHg", 133.3224, 1e-6},
		{1, "inH2O", 249.0889, 1e-9},
		{1, "lb-ft", 1.3558179483314, 1e-13},
		{1, "hp", 745.69987158227, 1e-13},
		{1, "PS", 735.49875, 0},
		{1, "gal", 3.785411784e-3, 1e-15},
		{1, "lb/min", 0.00755987283, 1e-8},
		{1, "cfm", 4.719474432e-4, 1e-14},
		{1, "g", 9.80665, 0},
		{77, "°F", 298.15, 1e-14},
		{60, "°F", 288.7056, 2e-7},
		{85, "°F", 302.5944, 2e-7},
		{220, "mph", 98.3488, 1e-14},
		{60, "1/min", 2 * math.Pi, 1e-15},
		{1, "kn", 0.514444, 1e-6},
		{1, "ft/s", 0.3048, 0},
		{1, "kgf/cm²", 98066.5, 1e-15},
		{14.7, "AFR", 1, 1e-15},
	} {
		u, ok := ParseUnit(c.unit)
		if !ok {
			t.Errorf("%s: not understood", c.unit)
			continue
		}
		if got := u.SI(c.x); math.Abs(got-c.want) > c.relative*math.Abs(c.want)+1e-300 {
			t.Errorf("%v %s = %v, want %v", c.x, c.unit, got, c.want)
		}
		if back := u.Of(u.SI(c.x)); math.Abs(back-c.x) > 1e-12*math.Abs(c.x) {
			t.Errorf("%v %s comes back as %v", c.x, c.unit, back)
		}
	}
}

func TestParseUnit(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"bar(a)", "bar abs"}, {"bar(g)", "bar gauge"}, {"bara", "bar abs"}, {"barü", "bar gauge"}, {"bar rel.", "bar gauge"},
		{"psi", "psi"}, {"psig", "psi gauge"}, {"PSIA", "psi abs"}, {"psi gauge", "psi gauge"}, {"kPa abs", "kPa abs"}, {"kPaA", "kPa abs"},
		{"in Hg", "inHg"}, {"\"Hg", "inHg"}, {"inHg vacuum", "inHg vacuum"}, {"[kPa]", "kPa"}, {"(°C)", "°C"}, {"deg C", "°C"}, {"degF", "°F"},
		{"U/min", "rpm"}, {"1/min", "rpm"}, {"tr/min", "rpm"}, {"min⁻¹", "rpm"}, {"giri/min", "rpm"}, {"percent", "%"}, {"Prozent", "%"},
		{"m/s²", "m/s²"}, {"m/s^2", "m/s²"}, {"km/h", "km/h"}, {"miles per hour", "mph"}, {"Nm", "N·m"}, {"kN", "kN"}, {"kn", "kn"},
		{"λ", "lambda"}, {"AFR", "AFR gasoline"}, {"cc/min", "mL/min"}, {"L/min", "L/min"}, {"lb/hr", "lb/h"}, {"deg/s", "deg/s"}, {"°", "deg"}, {"º", "deg"},
		{"-", ""}, {"0/1", "0/1"}, {"ata", "kg/cm² abs"}, {"degrees per second", "deg/s"},
	} {
		u, ok := ParseUnit(c.text)
		if !ok || u.String() != c.want {
			t.Errorf("%q is %q (%v), want %q", c.text, u.String(), ok, c.want)
		}
	}
	for _, s := range []string{"", "furlong", "speed", "left"} {
		if u, ok := ParseUnit(s); ok {
			t.Errorf("%q is taken for %q", s, u.String())
		}
	}
}

func TestWorlds(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Imperial.Speed(98.3488), "220.00 mph"},
		{Metric.Speed(98.3488), "354.06 km/h"},
		{Imperial.Pressure(206842.7), "30.0 psi"},
		{Metric.Torque(999.6), "1000 N·m"},
		{Imperial.Mixture(0.8), "11.76 AFR"},
		{Metric.Mixture(0.8), "lambda 0.800"},
		{Imperial.Temperature(310.9278), "100 °F"},
		{Imperial.Estimate(DimSpeed, Estimate{Value: 98.3488, SD: 0.02}), "220.00 ± 0.04 mph"},
		{Imperial.Estimate(DimTorque, Estimate{Value: 698.2, SD: 27}), "515 ± 20 lb-ft"},
		{Metric.Estimate(DimTorque, Estimate{Value: 3698.2, SD: 270, LowerBound: true}), "at least 3700 ± 270 N·m"},
		{Metric.Estimate(DimSpeed, Estimate{Value: 50, SD: math.NaN()}), "180.00 km/h"},
		{Imperial.Rounded(DimSpeed, 82.575, 0.7), "184.7 mph"},
		{Metric.Rounded(DimLength, 589.2, 57), "590 m"},
		{Imperial.Rounded(DimLength, 589.2, 57), "1930 ft"},
		{Imperial.Rounded(DimSpeed, 82.575, 0), "184.72 mph"},
		{Imperial.Signed(DimSpeed, 0.1, 0.2), "+0.2 mph"},
		{Imperial.Signed(DimSpeed, -0.1, 0.2), "-0.2 mph"},
		{Imperial.Between(DimSpeed, 82.66, 84.62, 0.72, "and"), "184.9 and 189.3 mph"},
		{Imperial.Stated(DimSpeed, 85.83168), "192 mph"},
		{Imperial.Stated(DimSpeed, 86.0552), "192.5 mph"},
		{Imperial.Stated(DimLength, 1700), "5577 ft"},
		{Imperial.Stated(DimPower, 1150e3), "1542 hp"},
		{Metric.Stated(DimLength, 1700), "1700 m"},
		{Metric.Acceleration(-1e-9), "0.00 g"},
		{Metric.Value(Throttle, 0.985), "98.5 %"},
		{World{}.Speed(1.5), "1.500 m/s"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// TestPowersOfTen: a power of ten before a unit, and units that are turns of others.
func TestPowersOfTen(t *testing.T) {
	for text, want := range map[string]float64{"0.1 km/h": 0.1 / 3.6, "1e-3 bar": 100, "10*rpm": 10 * math.Pi / 30, "0.01 g": 0.0980665, "10^-3 m": 1e-3,
		"N/mm²": 1e6, "dbar": 1e4, "m/min": 1.0 / 60, "mm/s²": 1e-3, "km/h/s": 1 / 3.6} {
		if u, ok := ParseUnit(text); !ok || math.Abs(u.Factor-want) > 1e-12*want {
			t.Errorf("%q: %v %v, want %v", text, u.Factor, ok, want)
		}
	}
	if u, ok := ParseUnit("°R"); !ok || math.Abs(u.SI(491.67)-273.15) > 1e-9 { // ice point, NIST SP 811
		t.Errorf("Rankine: %v", u)
	}
	for _, text := range []string{"2 c", "1 a", "2c", "10c", "1 km/h of 3", "100"} {
		if u, ok := ParseUnit(text); ok {
			t.Errorf("%q is taken for %v", text, u)
		}
	}
}
