package main

import (
	"io"
	"path/filepath"
	"testing"

	"traplight/internal/demo"
	"traplight/internal/reftest"
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

// Every ninth of the alterations of one channel alone, on an open log of a healthy pass:
// some cannot be told from the engine, most must not be taken for it.
func TestOneChannelAlone(t *testing.T) {
	if testing.Short() {
		t.Skip("reads and judges some twenty logs")
	}
	b := bench{workers: 2, only: "d01_wren_clock"}
	all, err := b.sensors(io.Discard, filepath.Dir(reftest.Path(t, "logs")), 9)
	if err != nil {
		t.Fatal(err)
	}
	var n [6]int
	for _, x := range all {
		n[x.became]++
		if x.became == asEngine || x.became == asBoth {
			t.Logf("%s %s: %s", x.log.set.Channels[x.channel].Quantity, x.alt.name, x.res.Findings[0].Evidence)
		}
	}
	t.Logf("%v: %v", outcomeNames, n)
	if len(all) < 15 || n[asEngine]+n[asBoth] > 2 || n[asSensor] < 6 {
		t.Errorf("%v: %v", outcomeNames, n)
	}
}
