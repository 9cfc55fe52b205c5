package fitcar

import (
	"math"
	"strings"
	"time"
)

func contains(s, sub string) bool { return strings.Contains(strings.ToLower(s), sub) }

// Hours is a written date and time, h from a fixed origin; NaN when it cannot be read.
func Hours(s string) float64 {
	for _, f := range []string{"2006-01-02 15:04", "2006-01-02T15:04", "2006-01-02 15:04:05", time.RFC3339, "2006-01-02T15:04:05", "2006-01-02"} {
		if t, err := time.Parse(f, strings.TrimSpace(s)); err == nil {
			return float64(t.Unix()) / 3600
		}
	}
	return math.NaN()
}
