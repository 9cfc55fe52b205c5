package air

import (
	"math"
	"testing"

	"traplight/internal/reftest"
)

// close checks got against want with a relative tolerance.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

const inHg = 3386.38864 // Pa, conventional inch of mercury (NIST SP 811)

func TestStandardAtmosphere(t *testing.T) {
	// ASHRAE Fundamentals 2017 ch. 1 table 1, US Standard Atmosphere 1976 (trust A).
	for _, r := range []struct{ h, T, p, rho, a float64 }{
		{-500, 291.400, 107478, 1.28489, 342.208},
		{0, 288.150, 101325, 1.22500, 340.294},
		{500, 284.900, 95461, 1.16727, 338.370},
		{1000, 281.650, 89874.6, 1.11164, 336.434},
		{2000, 275.150, 79495, 1.00649, 332.529},
		{4000, 262.150, 61640, 0.81913, 324.579},
		{10000, 223.150, 26436, 0.41271, 299.463},
		{11000, 216.650, 22632.06, 0.36392, 295.070},
	} {
		T, p, rho := Standard(r.h)
		near(t, "temperature", T, r.T, 1e-3)
		near(t, "pressure", p, r.p, 1)
		near(t, "density", rho, r.rho, 1e-5)
		near(t, "sound", SpeedOfSound(T), r.a, 2e-3)
		near(t, "density altitude", DensityAltitude(rho), r.h, 0.02)
		near(t, "pressure altitude", PressureAltitude(p), r.h, 0.02)
	}
	// Same source, in feet and inches of mercury (trust A).
	for _, r := range []struct{ ft, p, inHg float64 }{
		{1000, 97716.6, 28.856}, {2000, 94212.9, 27.821}, {3000, 90811.7, 26.817}, {5000, 84307.3, 24.896},
	} {
		_, p, _ := Standard(r.ft * 0.3048)
		near(t, "pressure", p, r.p, 0.1)
		near(t, "pressure, inHg", p/inHg, r.inHg, 6e-4)
	}
	for _, row := range reftest.Rows(t, "atmosphere.csv") { // trust A
		h := row.Num(t, "geopotential_altitude_m")
		if h > 11000 {
			continue // above the model's layer
		}
		T, p, rho := Standard(h)
		near(t, "T_K", T, row.Num(t, "T_K"), 1e-3)
		near(t, "p_Pa", p, row.Num(t, "p_Pa"), 0.3)
		near(t, "rho", rho, row.Num(t, "rho_kg_m3"), 3e-6)
		near(t, "sound", SpeedOfSound(T), row.Num(t, "speed_of_sound_m_s"), 2e-3)
	}
}

func TestVapourPressure(t *testing.T) {
	for _, r := range []struct{ c, want, rel float64 }{
		{0.01, 611.657, 1e-4},  // IAPWS-95 triple point (A)
		{5, 872.6, 3e-4},       // ASHRAE Fundamentals 2017 ch. 1 table 3 (A)
		{20, 2339.2, 2e-4},     // three formulas agree (A)
		{25, 3169.7, 3e-4},     // ASHRAE table 3 (A)
		{50, 12351.3, 3e-4},    // ASHRAE table 3 (A)
		{100, 101418.0, 3e-4},  // ASHRAE table 3, Wagner and Pruss (A)
		{100, 101417.99, 1e-7}, // Wagner and Pruss itself (A)
	} {
		near(t, "saturation pressure", SaturationPressure(r.c+zeroCelsius), r.want, r.want*r.rel)
	}
	for _, row := range reftest.Rows(t, "vapour_pressure.csv") {
		c := row.Num(t, "t_C")
		want := row.Num(t, "p_IAPWS_Wagner_Pruss_Pa") // A
		near(t, "Wagner-Pruss", SaturationPressure(c+zeroCelsius), want, 6e-4+want*2e-7)
		want = row.Num(t, "p_CIPM2007_psv_Pa") // A
		near(t, "CIPM", saturationCIPM(c+zeroCelsius), want, 6e-4+want*2e-7)
	}
	// Below freezing, over supercooled water: the World Meteorological Organization's
	// Magnus formula (C).
	for _, c := range []float64{-5, -10, -20} {
		want := 611.2 * math.Exp(17.62*c/(243.12+c))
		near(t, "supercooled", SaturationPressure(c+zeroCelsius), want, 0.004*want)
	}
	// ASHRAE example 1 (Fundamentals 2017 ch. 1, quoted in open tests; trust B):
	// 40 °C dry bulb, relative humidity 14 %: dew point 7 °C,
	// read off a chart.
	hot := 40 + zeroCelsius
	near(t, "dew point", DewPoint(hot, 0.14)-zeroCelsius, 7, 0.5)
}

func TestDensity(t *testing.T) {
	// CIPM-2007 by its published formula (A); an independent short form, OIML
	// R111-1 (2004) E.3, within its own tolerance; two ideal gases.
	for _, r := range []struct{ c, p, h, cipm, oiml, ideal float64 }{
		{20, 101325, 0.5, 1.199314, 1.19929, 1.198852},
		{20, 101325, 0, 1.204557, 1.20449, 1.204106},
		{25, 99000, 0, 1.157118, 1.15712, 1.156747},
		{15, 101325, 0, 1.225521, 1.22539, 1.225000},
		{30, 100000, 0.6, 1.138443, 1.13843, 1.138091},
		{35, 98000, 0.4, 1.098559, 1.09838, 1.098281},
	} {
		rho, ok := Density(r.c+zeroCelsius, r.p, r.h)
		if !ok {
			t.Errorf("%v is ordinary weather", r)
		}
		near(t, "density", rho, r.cipm, 1e-6)
		near(t, "density, OIML", rho, r.oiml, 3e-4*rho)
		near(t, "density, ideal", rho, r.ideal, 7e-4*rho)
	}
	for _, row := range reftest.Rows(t, "moist_air_density.csv") {
		rho, _ := Density(row.Num(t, "t_C")+zeroCelsius, row.Num(t, "p_Pa"), row.Num(t, "rel_humidity_0_1"))
		near(t, "density", rho, row.Num(t, "rho_CIPM2007_kg_m3"), 1e-6) // D: same formula elsewhere
		near(t, "density, ideal", rho, row.Num(t, "rho_ideal_two_gas"), 1e-3*rho)
	}
}

func TestDensityAltitude(t *testing.T) {
	// Computed with another implementation of CIPM-2007 (D).
	for _, r := range []struct{ c, p, h, want float64 }{
		{15, 101325, 0, -4.4}, {30, 101325, 0, 522.5}, {30, 98000, 0.5, 948.4}, {35, 95000, 0.6, 1483.1}, {5, 102500, 0.3, -486.3},
	} {
		near(t, "density altitude", State{r.c + zeroCelsius, r.p, r.h}.DensityAltitude(), r.want, 0.3)
	}
	// US weather service's pressure altitude, ft (C, from memory).
	near(t, "pressure altitude", PressureAltitude(96500)/0.3048, 1343.3, 3)
	near(t, "pressure altitude", PressureAltitude(85000)/0.3048, 4779.2, 3)
}

func TestStationPressure(t *testing.T) {
	// With the standard setting the station pressure is the standard
	// atmosphere's (A): 1000 ft, 97716.6 Pa.
	near(t, "station pressure", StationPressure(101325, 304.8), 97716.6, 0.1)
	near(t, "station pressure at sea level", StationPressure(100200, 0), 100200, 1e-6)
	// US practice, setting = (p−0.3 hPa)(1 + k h/(p−0.3)^0.190284)^(1/0.190284) with
	// k = 1013.25^0.190284·0.0065/288 (Smithsonian tables, from memory): agrees within
	// the 0.3 hPa that it takes off.
	for _, h := range []float64{0, 150, 600, 1500} {
		for _, p := range []float64{84000, 95000, 101000, 103000} {
			q := p/100 - 0.3
			us := 100 * q * math.Pow(1+math.Pow(1013.25, 0.190284)*0.0065/288*h/math.Pow(q, 0.190284), 1/0.190284)
			near(t, "station pressure", StationPressure(us, h), p, 65)
		}
	}
}

func TestCorrections(t *testing.T) {
	// The reference states give 1 (B/C); the other rows pin the arithmetic (D).
	for _, r := range []struct{ pd, c, sae, iso, din float64 }{
		{99, 25, 1.00000, 1.00000, 1.03193},
		{95, 30, 1.05996, 1.06128, 1.08436},
		{100, 15, 0.96843, 0.96798, 1.00432},
		{98.5, 20, 0.99600, 0.99593, 1.02843},
		{90, 35, 1.13960, 1.14359, 1.15401},
	} {
		T, p := r.c+zeroCelsius, r.pd*1000
		sae, in := CorrectionJ1349(T, p, 0)
		near(t, "J1349", sae, r.sae, 5e-5)
		if want := r.sae <= 1.07; in != want {
			t.Errorf("J1349 %g within its range: %v, want %v", r.sae, in, want)
		}
		iso, _ := CorrectionISO1585(T, p, 0)
		near(t, "ISO 1585", iso, r.iso, 1e-5)
		near(t, "DIN 70020", CorrectionDIN70020(T, p), r.din, 1e-5)
	}
	// J607 at 28.5 inHg, 90 °F, vapour 0.6 inHg (D).
	T, p := (90-32)/1.8+zeroCelsius, 28.5*inHg
	rh := 0.6 * inHg / VapourPressure(T, p, 1)
	near(t, "J607", CorrectionJ607(T, p, rh), 1.10290, 5e-5)
}
