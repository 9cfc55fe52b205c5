package fitcar

import (
	"strings"
	"testing"
)

// What the record lacks, and what no pass to come is taken to do again, is told.
func TestTellPasses(t *testing.T) {
	o := &Observation{File: "a.csv", Good: true, Unnoted: true, Trap: 80, Shifts: []ShiftSeen{{From: 2, To: 3, Start: 4, End: 5, Missed: true}}}
	m := &Model{Passes: []PassFit{{Obs: o, Weight: 1}}}
	m.tellPasses()
	all := strings.Join(m.Notes, "\n")
	for _, want := range []string{"nothing is written down of a.csv", "the shift out of 2 was missed"} {
		if !strings.Contains(all, want) {
			t.Errorf("not told: %s; but %q", want, all)
		}
	}
	o.Unnoted, o.Shifts = false, nil
	m.Notes = nil
	m.tellPasses()
	if all := strings.Join(m.Notes, "\n"); strings.Contains(all, "written down") || strings.Contains(all, "missed") {
		t.Errorf("told of a pass that was noted and had no missed shift: %q", all)
	}
}
