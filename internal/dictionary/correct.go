package dictionary

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// correct applies what the user says a channel is.
func (c *candidate) correct(text string, ctx *context) error {
	text = strings.TrimSpace(text)
	name, unit, _ := strings.Cut(text, " ")
	index := 0
	if base, idx, ok := strings.Cut(name, "["); ok {
		name = base
		if _, err := fmt.Sscanf(strings.TrimSuffix(idx, "]"), "%d", &index); err != nil {
			return fmt.Errorf("the index in %q is not a number", text)
		}
	}
	c.forced, c.notes = true, nil
	if name == "none" || name == "" {
		c.best, c.score, c.forced = reading{}, 0, false
		return nil
	}
	q := quantity.Name(name)
	if !quantity.Exists(q) {
		return fmt.Errorf("%q is not the name of a quantity", name)
	}
	u, known := c.unit, c.known
	if unit = strings.TrimSpace(unit); unit != "" {
		if u, known = quantity.ParseUnit(unit); !known {
			return fmt.Errorf("%q is not a unit that is known", unit)
		}
	}
	r := fitUnit(q, u, known, &c.b, ctx)
	if unit != "" {
		// What the user says of the reference is not weighed against readings.
		r.unit, r.told = u, true
		switch u.Reference {
		case quantity.OverAmbient, quantity.BelowAmbient:
			r.gauge = true
		case quantity.OverVacuum:
			r.gauge = false
		}
		if q == quantity.FuelFlow && u.Dim == quantity.DimVolumeFlow {
			r.q = quantity.FuelVolumeFlow
		}
	}
	if r.q == "" {
		r.q = q
	}
	c.best, c.score = r, 1
	if index > 0 {
		c.index = index
	} else {
		c.index = indexOf(q, c.words)
	}
	return nil
}
