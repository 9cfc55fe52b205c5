package demo

import "fmt"

// Refit is what a shop changes about a car between two events. Factors of the car's
// own figure, 1; 0 leaves it.
type Refit struct {
	FinalDrive float64 // 1
	TyreRadius float64 // 1, of the driven tyres
	Untold     bool    // the logger still reckons with the old tyre's circumference
}

// Refitted is the car after a refit, as its owner would enter it in the sheet.
func (c Car) Refitted(r Refit) Car {
	s := c.spec
	if r.FinalDrive > 0 {
		s.final *= r.FinalDrive
		s.text += fmt.Sprintf(", final drive %.2f", s.final)
	}
	if r.TyreRadius > 0 {
		s.r0 *= r.TyreRadius
		s.text += fmt.Sprintf(", tyres of %.3f m", s.r0)
		s.tyreSize = fmt.Sprintf("%.1f in drag radial", 2*(s.r0+0.007)/0.0254)
	}
	out := newCar(s)
	if r.Untold {
		out.p.setCircum = c.p.setCircum
	}
	return out
}

// Dialect returns how the car's own logger writes.
func (c Car) Dialect() Dialect { return DialectNamed(c.spec.dialect) }
