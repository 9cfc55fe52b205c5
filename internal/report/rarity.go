package report

import (
	"fmt"
	"math"
)

// Rarity is a chance p, 0 to 1, that something comes in a pass, in words and to one digit: it
// is not known more closely.
func Rarity(p float64) string {
	switch {
	case p < 1e-4:
		return "fewer than 1 pass in 10 000"
	case p < 0.01:
		n := 1 / p
		step := math.Pow(10, math.Floor(math.Log10(n)))
		return fmt.Sprintf("about 1 pass in %.0f", step*math.Round(n/step))
	}
	return fmt.Sprintf("about %.0f %% of passes", 100*p)
}
