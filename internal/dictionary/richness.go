package dictionary

import (
	"regexp"

	"traplight/internal/quantity"
)

// richness is the mixture as fuel over air against that of stoichiometry: 1 over
// lambda (Heywood 1988, section 3.4: the fuel/air equivalence ratio, from memory).
var richness = quantity.Unit{Symbol: "1/lambda", Dim: quantity.DimMixture, Factor: 1}

// calledRichness are names that mean fuel over air to one and air over fuel to another.
var calledRichness = regexp.MustCompile(`(?i)richesse|riqueza|ricchezza|equivalence|equiv\b|\bphi\b|φ|fuel.?air|\brichness\b`)

// isRichness says whether a mixture so called is fuel over air: an engine under boost
// runs rich, so that it then reads 1.08 to 1.5, where lambda reads 0.66 to 0.93.
func (c *candidate) isRichness() bool {
	if !calledRichness.MatchString(c.col.Name) && !calledRichness.MatchString(c.col.Unit) {
		return false
	}
	above, below := 0, 0
	for _, x := range c.col.Values {
		switch {
		case x > 1.08 && x < 1.5:
			above++
		case x > 0.66 && x < 0.93:
			below++
		}
	}
	return above > 20 && above > 2*below
}
