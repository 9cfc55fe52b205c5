package fitcar

import (
	"math"
	"strings"

	"traplight/internal/car"
)

// Revision is what the car as it will be run has over the car of the last pass,
// beyond mass, drag area, gearing and tyre radius, which the model takes from the
// sheet. The spreads are common practice, no source.
type Revision struct {
	Grip     float64 // 1, factor of peak grip by what the tyres are called
	GripSD   float64 // 1, of that
	TorqueSD float64 // 1, of torque at the same boost
	SpoolSD  float64 // 1, of the logarithm of the rotor's rate
	Notes    []string
}

// Revise compares the sheet of the car to be run with that of its last pass.
func (m *Model) Revise() Revision {
	r := Revision{Grip: 1}
	was, is := m.Passes[len(m.Passes)-1].Obs.Sheet, m.Sheet
	if was == is || was == nil {
		return r
	}
	other := func(a, b string) bool {
		return a != "" && b != "" && !strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b))
	}
	if other(was.TyreSize, is.TyreSize) {
		a, _ := tyrePeak(was.TyreSize)
		b, _ := tyrePeak(is.TyreSize)
		r.Grip, r.GripSD = b/a, 0.08
		r.Notes = append(r.Notes, "the tyres are others than in the record: their grip is taken from their kind, with a wide spread")
	}
	if other(was.Fuel, is.Fuel) {
		r.TorqueSD = math.Hypot(r.TorqueSD, 0.03)
		r.Notes = append(r.Notes, "the fuel is another than in the record: torque at the same boost is taken as it was, ± 3 %")
	}
	if was.Displacement > 0 && is.Displacement > 0 && math.Abs(is.Displacement/was.Displacement-1) > 0.005 {
		r.TorqueSD = math.Hypot(r.TorqueSD, 0.05)
		r.Notes = append(r.Notes, "the displacement is another than in the record: run one pass before believing this forecast")
	}
	if other(was.Turbo, is.Turbo) || was.TurboCount > 0 && is.TurboCount > 0 && was.TurboCount != is.TurboCount || resized(was.Inducer, is.Inducer) || resized(was.Exducer, is.Exducer) {
		r.TorqueSD, r.SpoolSD = math.Hypot(r.TorqueSD, 0.04), 0.4
		r.Notes = append(r.Notes, "the turbo is another than in the record: how fast boost comes is taken as it was, within a factor of 1.5")
	}
	if !sameGears(was, is) {
		r.Notes = append(r.Notes, "the gearing is another than in the record: shift times and the launch are taken as they were")
	}
	return r
}

// resized tells a compressor wheel from another by its diameters, m, beyond what two hands
// measure differently; 0 is not known.
func resized(was, is float64) bool { return was > 0 && is > 0 && math.Abs(is/was-1) > 0.03 }

func sameGears(a, b *car.Sheet) bool {
	x, y := overall(a), overall(b)
	if len(x) != len(y) {
		return false
	}
	for i := range x {
		if math.Abs(x[i]/y[i]-1) > 1e-6 {
			return false
		}
	}
	return true
}
