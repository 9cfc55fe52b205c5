package web

import (
	"net/url"
	"strings"
	"testing"

	"traplight/internal/quantity"
	"traplight/internal/store"
)

// TestSlipForm: what is typed of a timing slip is kept in the notes' own keys, the rest of the
// entry stays, and it is read back as it was typed.
func TestSlipForm(t *testing.T) {
	entry := "id = \"a\"\nslip_half_s = 18.1 # smudged\nslip_trap_kmh = 300\nair_temp_c = 20"
	form := url.Values{slipTrap: {"188,4"}, "slip_half_s": {"17.92"}, "slip_60ft_s": {""}, "slip_quarter_s": {" 12.5 "}}
	got, err := withSlip(entry, form, quantity.Imperial)
	if err != nil || checkEntry(store.PassEntry, got) != nil {
		t.Fatalf("%v %v\n%s", err, checkEntry(store.PassEntry, got), got)
	}
	for _, line := range []string{"id = \"a\"", "air_temp_c = 20", "slip_half_s = 17.92", "slip_quarter_s = 12.5", "slip_trap_mph = 188.4"} {
		if strings.Count("\n"+got, "\n"+line+"\n") != 1 {
			t.Errorf("%q is not one line of\n%s", line, got)
		}
	}
	if strings.Contains(got, "18.1 ") || strings.Contains(got, "kmh") || strings.Contains(got, "60ft") {
		t.Errorf("what was there before stays:\n%s", got)
	}
	for _, f := range slipOf(got, quantity.Imperial) {
		if want := map[string]string{"slip_half_s": "17.92", "slip_quarter_s": "12.5", slipTrap: "188.4"}[f.Name]; f.Value != want {
			t.Errorf("%s is read as %q, want %q", f.Name, f.Value, want)
		}
	}
	// 188.4 mph are 303.2 km/h (1.609344, NIST SP 811)
	if trap := slipOf(got, quantity.Metric)[len(slipTimes)]; trap.Value != "303.2" || trap.Unit != "km/h" {
		t.Errorf("in metric %+v", trap)
	}
	if _, err := withSlip(entry, url.Values{"slip_half_s": {"fast"}}, quantity.Imperial); err == nil {
		t.Error("a word passes for a time")
	}
	// Every key that the form writes is one of the notes.
	for _, f := range slipTimes {
		if err := checkEntry(store.PassEntry, f.Name+" = 9.5\n"); err != nil {
			t.Error(err)
		}
	}
}
