package main

import (
	"bytes"
	"context"
	"testing"
)

// shortfalls are quantities that miss a bound over the test data as they stand,
// with the reason. They are told by the test and by the bench, which still fails;
// anything else beyond its bound fails the test.
var shortfalls = map[string]string{
	"boost recovery": "errors of 1 ms: intervals of one sample's step are wider than 1.5 times that",
}

// TestBounds runs the bench over the test data: every result is held to the project's bounds.
// Other names, units and orders of columns are not among the variants: TestFurtherDialects holds
// them to the very same report.
func TestBounds(t *testing.T) {
	names := []string{"plain", "satellite-only"}
	if !testing.Short() {
		names = append(names, "clock", "held", "dropouts")
	}
	cases, err := loadCases(options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			v := variantByName(name)
			r, err := runVariant(context.Background(), cases, *v, "")
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			printResult(&b, r, v, options{})
			t.Log("\n" + b.String())
			for _, l := range r.Healthy {
				reason, known := shortfalls[l.Quantity]
				for _, f := range l.Fails {
					if known {
						t.Logf("shortfall: %s: %s (%s)", l.Quantity, f, reason)
					} else {
						t.Errorf("%s: %s", l.Quantity, f)
					}
				}
			}
			for _, m := range r.Findings.Misses {
				if m.Healthy && !v.Satellite {
					t.Errorf("%s pass %d: %s", m.Log, m.Pass, m.What)
				}
			}
			if n := len(r.Healthy); n < 20 && !v.Satellite {
				t.Errorf("only %d quantities compared", n)
			}
		})
	}
}

// TestVariantsChangeWhatTheySay makes sure that a variant is one.
func TestVariantsChangeWhatTheySay(t *testing.T) {
	cases, err := loadCases(options{only: "a03"})
	if err != nil {
		t.Fatal(err)
	}
	c := cases[0]
	plain := newVariantLog(c.log, c.truth, "plain")
	for _, v := range variants[1:] {
		varied := newVariantLog(c.log, c.truth, v.Name)
		v.Apply(varied)
		if same(plain, varied) {
			t.Errorf("%s leaves the log as it was", v.Name)
		}
	}
	if !same(plain, newVariantLog(c.log, c.truth, "plain")) {
		t.Error("a variant changed the log it was made from")
	}
}

// same compares the two logs by what is in them.
func same(a, b *variantLog) bool {
	if len(a.Columns) != len(b.Columns) || len(a.RowTime) != len(b.RowTime) || a.Clock.Log(0) != b.Clock.Log(0) || a.Clock.Log(1e6) != b.Clock.Log(1e6) {
		return false
	}
	for i := range a.Columns {
		if a.Columns[i].Name != b.Columns[i].Name || a.Columns[i].Unit != b.Columns[i].Unit {
			return false
		}
		for j, x := range a.Columns[i].Values {
			if y := b.Columns[i].Values[j]; x != y && !(x != x && y != y) {
				return false
			}
		}
	}
	return true
}
