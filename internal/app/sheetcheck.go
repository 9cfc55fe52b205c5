package app

import (
	"errors"

	"traplight/internal/car"
)

// SheetToFillIn is a commented car sheet.
func SheetToFillIn() string { return string(car.Commented()) }

// NotesToFillIn is a commented notes file.
func NotesToFillIn() string { return string(car.CommentedNotes()) }

// SheetDefaults tells what is assumed for a car whose sheet says little.
func SheetDefaults() string { return car.Defaults() }

// CheckSheet reads a car sheet strictly: text tells what was understood, assumed
// and not read; the error, if any, names each key that is not known.
func CheckSheet(path string) (text string, err error) {
	s, err := car.LoadSheet(path)
	if err != nil {
		return "", err
	}
	return car.Describe(s), s.StrictErr()
}

// CheckNotes reads a notes file strictly.
func CheckNotes(path string) error {
	n, err := car.LoadNotes(path)
	if err != nil {
		return err
	}
	if len(n.Passes)+len(n.Planned)+len(n.Strips) == 0 {
		return errors.Join(n.StrictErr(), errors.New(path+": no [[pass]], [[planned]] or [[strip]] in it"))
	}
	return n.StrictErr()
}
