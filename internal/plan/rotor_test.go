package plan

import (
	"math"
	"testing"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/turbomap"
	"traplight/internal/reftest"
	"traplight/internal/sim"
)

// Without flow a rotor that holds 250 instead of 230 kPa over 100 kPa turns faster by the square
// root of the compressor's work, (3.5^k − 1)/(3.3^k − 1) with k = 2/7 of air: 1.03 (Heywood,
// Internal Combustion Engine Fundamentals, equation 6.38, from memory).
func TestRotorByHead(t *testing.T) {
	const baro = 100e3
	r := rotor{flow: 1, work: 0.4}
	g := sim.Gear{MaxHead: sim.Head(baro, baro+230e3)}
	want := math.Sqrt((math.Pow(3.5, 2.0/7) - 1) / (math.Pow(3.3, 2.0/7) - 1))
	if got := r.spiked(baro, &g, 20e3) / r.spiked(baro, &g, 0); math.Abs(got-want) > 1e-3 {
		t.Errorf("rotor speed times %.4f, want %.4f", got, want)
	}
}

// Speeds of the open diesel set's compressor (Wahlström and Eriksson 2011) over that of the point
// which the rotor is bought for, from pressure ratios 1.8 to 2.6.
func TestRotorByPublishedCompressor(t *testing.T) {
	rows := reftest.Rows(t, "mvem_diesel_compressor.csv")
	const bought = 2.2
	var r rotor
	var full float64
	for _, row := range rows {
		if row.Num(t, "pressure_ratio") == bought && row.Num(t, "omega_rad_s") == 9000 {
			r, full = rotor{flow: row.Num(t, "W_kg_s"), work: math.Pow(bought, 2.0/7) - 1}, 9000
		}
	}
	seen := 0
	for _, row := range rows {
		ratio, flow := row.Num(t, "pressure_ratio"), row.Num(t, "W_kg_s")
		if ratio < 1.5 {
			continue // below, that wheel does less work than the ellipse says
		}
		seen++
		q := flow / r.flow
		head := math.Pow(ratio/(1+(pathLoss-1)*q*q), 2.0/7) - 1
		want := row.Num(t, "omega_rad_s") / full
		if got := r.speed(head, flow); math.Abs(got/want-1) > 0.04 {
			t.Errorf("pressure ratio %.1f, %.3f kg/s: speed %.3f, published %.3f", ratio, flow, got, want)
		}
	}
	if seen < 5 {
		t.Fatalf("%d rows", seen)
	}
}

// The speed by the wheel's outlet alone, the open diesel set's 80 mm: within 1.5 of the stated
// spread of the published speeds, by its inlet within the same; and the published gasoline set's
// rotor limit, 22896.5 rad/s at 39.4 mm, within 1.5 of that of a rim.
func TestRotorByPublishedWheel(t *testing.T) {
	const temperature, pressure = 298.46, 101111.0
	seen := 0
	for _, row := range reftest.Rows(t, "mvem_diesel_compressor.csv") {
		ratio, flow, eta := row.Num(t, "pressure_ratio"), row.Num(t, "W_kg_s"), row.Num(t, "eta")
		if ratio < 1.5 || eta < 0.6 {
			continue
		}
		seen++
		r := rotor{flow: 1e3, work: 0.3, radius: 0.04, each: 1, temperature: temperature, pressure: pressure}
		got, want := r.speed(math.Pow(ratio, 2.0/7)-1, flow), row.Num(t, "omega_rad_s")
		if z := math.Log(got/want) / exducerSpread; math.Abs(z) > 1.5 {
			t.Errorf("pressure ratio %.1f, %.3f kg/s: %.0f rad/s, published %.0f (%.1f spreads)", ratio, flow, got, want, z)
		}
	}
	if seen < 3 {
		t.Fatalf("%d rows", seen)
	}
	if z := math.Log(22896.5*0.0394/2/rimLimit) / rimSpread; math.Abs(z) > 1.5 {
		t.Errorf("a rim's limit is %.1f spreads off", z)
	}
}

// A rotor by its map turns as the map says where it lies on it, and on beyond the highest line.
func TestRotorByMap(t *testing.T) {
	var points []turbomap.Point
	line := func(w, scale float64) {
		for k := range 5 {
			x := float64(k) / 4
			points = append(points, turbomap.Point{Speed: w, Flow: scale * (0.2 + 0.25*x), Ratio: math.Pow(1+scale*scale*(0.3-0.1*x*x), 3.5), Efficiency: 0.7})
		}
	}
	line(8000, 0.8)
	line(10000, 1)
	c, err := turbomap.NewCompressor("similar", compressor.ReferenceJ1826, points)
	if err != nil {
		t.Fatal(err)
	}
	r := rotor{flow: 1e3, work: 0.3, chart: c, each: 1, temperature: 298, pressure: 100e3}
	for _, scale := range []float64{0.7, 0.9, 1, 1.2} { // lines are alike: speed goes with flow, head with its square
		if got := r.speed(scale*scale*0.275, scale*0.325); math.Abs(got/(10000*scale)-1) > 0.01 {
			t.Errorf("at %.1f: %.0f rad/s", scale, got)
		}
	}
}
