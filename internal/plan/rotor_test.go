package plan

import (
	"math"
	"testing"

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
			r, full = rotor{row.Num(t, "W_kg_s"), math.Pow(bought, 2.0/7) - 1}, 9000
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
