package fuel

import (
	"math"
	"testing"

	"traplight/internal/reftest"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

func TestStoichiometry(t *testing.T) {
	for _, r := range []struct {
		name                  string
		f                     Formula
		need, computed, print float64 // printed: Heywood table D.4 (from memory, C) or US DOE (B)
	}{
		{"methanol", Methanol, 1.5, 6.472, 6.45}, // DOE, B
		{"methanol", Methanol, 1.5, 6.472, 6.47}, // Heywood, C
		{"ethanol", Ethanol, 3, 9.003, 9.00},     // both, B
		{"isooctane", Isooctane, 12.5, 15.13, 15.13},
		{"gasoline", Gasoline, 1.4675, 14.60, 14.6},
		{"n-heptane", Heptane, 11, 15.18, 15.2},
		{"toluene", Toluene, 9, 13.50, 13.5},
		{"methane", Methane, 2, 17.23, 17.23},
		{"nitromethane", Nitromethane, 0.75, 1.699, 1.7},
	} {
		got := r.f.Stoichiometric()
		near(t, r.name+", oxygen", r.f.OxygenNeed(), r.need, 1e-12)
		near(t, r.name, got, r.computed, 0.001*r.computed)
		near(t, r.name+", printed", got, r.print, 0.005*r.print)
	}
	near(t, "oxygen in air", AirOxygen, 0.23146, 2e-5)
	if !math.IsNaN((Formula{}).Stoichiometric()) {
		t.Error("an empty formula has an air-fuel ratio")
	}
}

func TestPublishedProperties(t *testing.T) {
	g, e, m := PureGasoline(), PureEthanol(), PureMethanol()
	// US DOE "Properties of Fuels" (B): MJ/kg; Heywood D.4 from memory (C): 44.0, 26.9,
	// 20.0; tolerance 1.5 % between sources.
	for _, r := range []struct {
		p            Properties
		doe, heywood float64
	}{{g, 43.44e6, 44.0e6}, {e, 26.95e6, 26.9e6}, {m, 20.09e6, 20.0e6}} {
		near(t, r.p.Name+" LHV", r.p.LHV.Value, r.doe, 0.001*r.doe)
		near(t, r.p.Name+" LHV, Heywood", r.p.LHV.Value, r.heywood, 0.015*r.heywood)
	}
	// Latent heat: DOE 349, 921, 1177 kJ/kg (B); ethanol 920.7 by the equation of state
	// (A).
	near(t, "gasoline latent heat", g.LatentHeat.Value, 349e3, 0.05*349e3)
	near(t, "ethanol latent heat", e.LatentHeat.Value, 920.7e3, 0.05*920.7e3)
	near(t, "methanol latent heat", m.LatentHeat.Value, 1177e3, 0.05*1177e3)
	// Density: ethanol by Schroeder et al. 2014 (A); methanol 792 at 20 °C, Heywood
	// (C); gasoline 720–775 at 15 °C, EN 228 (from memory).
	near(t, "ethanol at 15 °C", e.DensityAt(288.15).Value, 793.6, 0.1)
	near(t, "ethanol at 20 °C", e.DensityAt(293.15).Value, 789.34, 0.003*789)
	near(t, "ethanol at 25 °C", e.DensityAt(298.15).Value, 785.05, 0.003*785)
	near(t, "methanol at 20 °C", m.DensityAt(293.15).Value, 792, 0.003*792)
	near(t, "gasoline", g.Density.Value, 747.5, 27.5)
	// Heat per kilogram of stoichiometric air, MJ: 2.93, 2.98, 3.08 (D).
	near(t, "gasoline heat by air", g.LHV.Value/g.Stoich.Value, 2.93e6, 0.06e6)
	near(t, "ethanol heat by air", e.LHV.Value/e.Stoich.Value, 2.98e6, 0.04e6)
	near(t, "methanol heat by air", m.LHV.Value/m.Stoich.Value, 3.08e6, 0.05e6)
	// 1 lb/(hp·h) = 608.277 g/kWh (NIST SP 811); 250 g/kWh with 44 MJ/kg is 0.32727 (A).
	near(t, "bsfc unit", lbPerHPH*3.6e9, 608.277388, 1e-5)
	near(t, "efficiency", Efficiency(250/3.6e9, 44e6), 0.32727, 1e-5)
	// Common practice, lb/(hp·h): plausibility only (E).
	for _, r := range []struct{ e, m, lo, hi float64 }{{0, 0, 0.50, 0.65}, {0.85, 0, 0.70, 0.95}, {0, 1, 1.0, 1.4}} {
		b := FullLoadBSFC(r.e, r.m)
		near(t, "bsfc", b.Value/lbPerHPH, (r.lo+r.hi)/2, 1e-9)
		if !(b.SD/lbPerHPH > (r.hi-r.lo)/4 && b.SD/lbPerHPH < r.hi-r.lo) {
			t.Errorf("bsfc spread %g of a range %g", b.SD/lbPerHPH, r.hi-r.lo)
		}
	}
}

func TestEthanolBlends(t *testing.T) {
	// Another implementation of mass-weighted mixing with slightly other densities and
	// heating values (D).
	for _, row := range reftest.Rows(t, "ethanol_blend.csv") {
		e := row.Num(t, "ethanol_volume_fraction")
		p := EthanolBlend(e, 0)
		near(t, "stoichiometry", p.Stoich.Value, row.Num(t, "stoich_AFR"), 0.03)
		near(t, "LHV", p.LHV.Value, row.Num(t, "LHV_MJ_kg")*1e6, 0.006*p.LHV.Value)
		near(t, "density", p.Density.Value, row.Num(t, "density_kg_L_15C_approx")*1000, 5)
		if f := ethanolFor(p.Stoich.Value); math.Abs(f-e) > 1e-9 {
			t.Errorf("ethanol fraction %g came back as %g", e, f)
		}
	}
	// Commonly printed: 9.76 to 9.85 (from memory, C).
	near(t, "E85", EthanolBlend(0.85, 0).Stoich.Value, 9.81, 0.06)
}

func TestNitrous(t *testing.T) {
	near(t, "molar mass", NitrousMolarMass, 44.013e-3, 1e-6)
	near(t, "oxygen", NitrousOxygen, 0.36351, 1e-4)
	near(t, "oxygen against air", NitrousOxygen/AirOxygen, 1.5705, 1e-3)
	near(t, "heat", NitrousHeat, 1864e3, 0.01*1864e3) // C
	// Fuel that nitrous oxide burns, by formula (A).
	for _, r := range []struct {
		f    Formula
		want float64
	}{{Gasoline, 9.296}, {Isooctane, 9.632}, {Ethanol, 5.732}, {Methanol, 4.121}} {
		near(t, "nitrous per fuel", NitrousPerFuel(r.f.Stoichiometric()), r.want, 0.001*r.want)
	}
	near(t, "fuel for 100 g/s", FuelForNitrous(0.1, Gasoline.Stoichiometric(), 0.8), 13.447e-3, 1e-3*13.447e-3)
}
