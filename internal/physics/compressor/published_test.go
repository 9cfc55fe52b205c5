package compressor

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

const rpm = math.Pi / 30 // rad/s

func TestCompression(t *testing.T) {
	// Computed elsewhere from the same textbook formula (D): outlet K, work J/kg.
	for _, r := range []struct{ pr, eta, t1, t2, work float64 }{
		{2, 0.75, 298.15, 385.215, 87501}, {3, 0.75, 300, 447.495, 148233}, {4, 0.74, 300, 497.025, 198010}, {5, 0.72, 305, 552.312, 248549},
	} {
		t2 := Outlet(r.t1, r.pr, r.eta, GammaAir)
		near(t, "outlet", t2, r.t2, 1e-3)
		near(t, "work", Work(r.t1, t2, CpAir), r.work, 2)
		near(t, "efficiency", Efficiency(r.t1, t2, r.pr, GammaAir), r.eta, 1e-12)
	}
	near(t, "cooler", Cooled(430, 300, 0.7), 339, 1e-9) // definition, A
	near(t, "effectiveness", Effectiveness(430, 339, 300), 0.7, 1e-12)
	// Saravanamuttoo, Rogers, Cohen, Gas Turbine Theory, example 4.1 (inputs and printed
	// answers from memory, C): power input factor 1.04, slip factor 0.9, 290 rev/s,
	// impeller 0.5 m, 9 kg/s, 295 K, efficiency 0.78: 455.5 m/s, 193 K, 4.23, 1746 kW.
	u := 290 * math.Pi * 0.5 // m/s, the rim
	near(t, "tip speed", u, 455.5, 0.003*455.5)
	rise := 1.04 * 0.9 * u * u / CpAir
	near(t, "rise", rise, 193, 0.003*193)
	lo, hi := 1.0, 10.0 // the pressure ratio with that rise
	for range 60 {
		if mid := (lo + hi) / 2; Outlet(295, mid, 0.78, GammaAir) < 295+rise {
			lo = mid
		} else {
			hi = mid
		}
	}
	near(t, "pressure ratio", lo, 4.23, 0.003*4.23)
	near(t, "power", 9*Work(295, 295+rise, CpAir), 1746e3, 0.003*1746e3)
	if !math.IsNaN(Efficiency(300, 300, 2, 1.4)) || !math.IsNaN(Effectiveness(300, 300, 300)) {
		t.Error("an impossible question was answered")
	}
}

func TestCorrectedFlow(t *testing.T) {
	// 0.8 kg/s at 95 kPa, 305 K (computed, D).
	for _, r := range []struct {
		ref  Reference
		want float64
	}{{ReferenceJ1826, 0.85194}, {ReferenceJ922, 0.81310}, {ReferenceStandard, 0.87786}} {
		got := r.ref.Flow(0.8, 305, 95e3)
		near(t, "corrected flow", got, r.want, 1e-4*r.want)
		near(t, "true flow", r.ref.TrueFlow(got, 305, 95e3), 0.8, 1e-12)
	}
}

func TestEngine(t *testing.T) {
	// Heywood 2.7, definition (A): bar.
	for _, r := range []struct{ torque, litres, bar float64 }{{400, 2, 25.133}, {1000, 4, 31.416}, {1500, 5, 37.699}} {
		near(t, "bmep", MeanPressure(r.torque, r.litres/1000)/1e5, r.bar, 1e-3)
	}
	// 600 lbf·ft in 350 in³: 258.5 psi (A).
	const lbft, in3, psi = 1.3558179483314, 16.387064e-6, 6894.75729316836
	near(t, "bmep, psi", MeanPressure(600*lbft, 350*in3)/psi, 258.5, 0.05)
	// Definition (A): kg/s.
	for _, r := range []struct{ litres, rpm, ve, kpa, temp, want float64 }{
		{4, 7500, 1, 350, 325, 0.93792}, {3, 8000, 0.95, 400, 330, 0.80231}, {5, 7000, 1.02, 300, 320, 0.97163},
	} {
		got := AirFlow(r.ve, r.kpa*1e3, r.litres*1e-3, r.rpm*rpm, r.temp)
		near(t, "air flow", got, r.want, 1e-4*r.want)
	}
}
