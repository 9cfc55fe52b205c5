package main

import (
	"context"
	"testing"
)

// Logs in which nothing but the driven wheels, or the engine, tells speed: every pass is found, its
// speeds are as sure as they say, and the trap is told to some per cent.
func TestWithoutReference(t *testing.T) {
	if testing.Short() {
		t.Skip("takes seconds")
	}
	cases, err := loadCases(options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		variant                 string
		split, trap, trap90     float64 // median errors: m/s, %; 90th percentile, %
		splitHeld               float64
		shiftEnd, launch, found float64 // medians, s; passes with a trap
	}{
		{"driven-only", 0.5, 1.2, 2.5, 0.85, 0.003, 0.1, 12},
		{"engine-only", 1.2, 2, 3, 0.75, 0.06, 0.3, 12},
	} {
		r, err := runVariant(context.Background(), cases, *variantByName(c.variant), "")
		if err != nil {
			t.Fatal(err)
		}
		seen := map[string]Line{}
		for _, l := range r.Healthy {
			seen[l.Quantity] = l
		}
		check := func(name string, got, most float64) {
			if !(got <= most) {
				t.Errorf("%s, %s: %.3g, at most %.3g", c.variant, name, got, most)
			}
		}
		check("split speed", seen["split speed"].Median, c.split)
		check("trap", seen["trap"].Median, c.trap)
		check("trap, 90 %", seen["trap"].P90, c.trap90)
		check("shift end", seen["shift end"].Median, c.shiftEnd)
		check("launch", seen["launch without accelerometer"].Median, c.launch)
		if n := seen["trap"].N; float64(n) < c.found {
			t.Errorf("%s: %d traps", c.variant, n)
		}
		if l := seen["split speed"]; float64(l.Covered) < c.splitHeld*float64(l.Stated) {
			t.Errorf("%s: %d of %d split speeds inside their 90 %% intervals", c.variant, l.Covered, l.Stated)
		}
	}
}
