package sizing

import (
	"testing"

	"traplight/internal/physics/fuel"
)

// TestFillOf works the charge's cooling out by hand, with the latent heats of the US
// Department of Energy's table (349, 1177 kJ/kg): at lambda 0.80 and with 30 % evaporated,
// methanol (stoichiometry 6.43) has 0.0583 kg of vapour a kilogram of air, which takes 68 K
// from 340 K and 1/19 of the room; gasoline (14.7) 0.0255 kg, 8.9 K and 1/142.
func TestFillOf(t *testing.T) {
	near(t, "gasoline", fillOf(fuel.PureGasoline()).Value, fill.Value, 1e-12)
	near(t, "gasoline's spread", fillOf(fuel.PureGasoline()).SD, fill.SD, 1e-12)
	want := fill.Value * (340 / (340 - 68.3) / (1 + 1/18.98)) / (340 / (340 - 8.86) / (1 + 1/142.2))
	near(t, "methanol", fillOf(fuel.PureMethanol()).Value, want, 0.01)
	e, m := fillOf(fuel.PureEthanol()), fillOf(fuel.PureMethanol())
	if !(fill.Value < e.Value && e.Value < m.Value && m.SD > e.SD && e.SD > fill.SD) {
		t.Errorf("ethanol %+v lies not between gasoline %+v and methanol %+v", e, fill, m)
	}
}
