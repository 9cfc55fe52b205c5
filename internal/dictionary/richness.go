package dictionary

import (
	"math"
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

const (
	richestBurnt = 0.58 // lambda, richer than any pull (common practice, no source: engines misfire near 0.6)
	richLikely   = 0.62 // lambda
	leanLikely   = 1.15
)

// isOwnScale says whether an air-fuel ratio that would be richer on the scale assumed than
// an engine burns is a likely one on the fuel's own.
func (c *candidate) isOwnScale(opts Options) bool {
	if opts.Stoich <= 0 || math.Abs(opts.MixtureScale-quantity.GasolineAFR) > 0.2 || opts.Stoich > 0.9*quantity.GasolineAFR {
		return false
	}
	own := c.b.q05 / opts.Stoich
	return c.b.q05/opts.MixtureScale < richestBurnt && own > richLikely && own < leanLikely
}
