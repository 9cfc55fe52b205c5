package quantity

// BarometerUnit is the unit in which barometers and weather services tell the pressure of
// the air where w is at home: inches of mercury (of the conventional 13595.1 kg/m³) beside
// psi and °F, else hPa. decimals are those that a barometer has.
func (w World) BarometerUnit() (u Unit, decimals int) {
	if w.Name == Imperial.Name {
		return MustUnit("inHg"), 2
	}
	return MustUnit("hPa"), 0
}

// Barometer prints the pressure of the air, Pa, as a barometer shows it: "29.56 inHg", "1001 hPa".
func (w World) Barometer(pa float64) string {
	u, decimals := w.BarometerUnit()
	return fixed(u.Of(pa), decimals) + " " + u.Symbol
}
