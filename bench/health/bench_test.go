package main

import (
	"testing"

	"traplight/internal/demo"
)

// A small run of the bench, on invented data: one car, a few healthy passes, and
// gross faults of kinds that every method should find. The large one is a command.
func TestSmallBench(t *testing.T) {
	if testing.Short() {
		t.Skip("makes a dozen passes")
	}
	b := bench{healthy: 3, each: 1, seed: 3, workers: 2, cars: []string{"chert"}, sets: []string{"full"}, grades: []demo.Grade{demo.Gross},
		kinds: []string{"fuel supply", "oil supply", "crankcase pressure", "electrical", "cylinder down", "coolant pressure"}}
	if err := b.run(); err != nil {
		t.Fatal(err)
	}
	if b.failed > 0 {
		t.Fatalf("%d passes could not be read", b.failed)
	}
	faulty, found, named := 0, 0, 0
	for _, o := range b.outcomes {
		if o.kind == "" {
			if o.with.found {
				t.Errorf("healthy pass: %+v", o.with.res.Findings)
			}
			continue
		}
		faulty++
		if o.with.found {
			found++
		} else {
			t.Logf("%s not found", o.kind)
		}
		if o.with.named {
			named++
		} else if o.with.found {
			t.Logf("%s taken for %s", o.kind, o.with.res.Findings[0].Kind)
		}
	}
	if faulty != 6 || found < 6 || named < 5 {
		t.Errorf("of %d gross faults %d found, %d named rightly", faulty, found, named)
	}
}
