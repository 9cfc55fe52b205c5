package app

import (
	"cmp"
	"errors"

	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// SheetToFillIn is a commented car sheet, in the keys of someone who thinks in the units of w.
func SheetToFillIn(w quantity.World) string { return string(car.Commented(isUS(w))) }

// NotesToFillIn is a commented notes file, in the keys of someone who thinks in the units of w.
func NotesToFillIn(w quantity.World) string { return string(car.CommentedNotes(isUS(w))) }

func isUS(w quantity.World) bool { return w.Name == quantity.Imperial.Name }

// SheetDefaults tells what is assumed for a car whose sheet says little.
func SheetDefaults() string { return car.Defaults() }

// CheckSheet reads a car sheet strictly: text tells what was understood, assumed
// and not read, what is not written there in the units chosen (us, metric, auto for the
// sheet's own); the error, if any, names each key that is not known and each value that cannot be.
func CheckSheet(path, units string) (text string, err error) {
	s, err := car.LoadUsableSheet(path)
	if err != nil {
		return "", err
	}
	return car.Describe(s, isUS(report.World(units, cmp.Or(s.Units, "metric")))), s.StrictErr()
}

// CheckNotes reads a notes file strictly.
func CheckNotes(path string) error {
	n, err := car.LoadUsableNotes(path)
	if err != nil {
		return err
	}
	if len(n.Passes)+len(n.Planned)+len(n.Strips) == 0 {
		return errors.Join(n.StrictErr(), errors.New(path+": no [[pass]], [[planned]] or [[strip]] in it"))
	}
	return n.StrictErr()
}
