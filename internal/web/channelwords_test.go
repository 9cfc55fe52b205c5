package web

import (
	"testing"

	"traplight/internal/quantity"
)

// TestQuantityWords: what the pages call a quantity may be typed where one is asked for, and
// no two are called alike.
func TestQuantityWords(t *testing.T) {
	seen := map[string]quantity.Name{}
	for _, q := range known {
		words := quantityWords(string(q))
		if o, ok := seen[words]; ok {
			t.Errorf("%s and %s are both called %q", o, q, words)
		}
		seen[words] = q
		if got := asKey(words); got != string(q) {
			t.Errorf("%q is read as %q, want %q", words, got, q)
		}
	}
	for typed, want := range map[string]string{"Oil  pressure": "oil_pressure", "satellite speed": "gps_speed", "exhaust temperature[3]": "exhaust_temperature[3]",
		"oil_pressure": "oil_pressure", "none": "none", "zeal": "zeal", "gps_speed mph": "gps_speed mph"} {
		if got := asKey(typed); got != want {
			t.Errorf("%q is read as %q, want %q", typed, got, want)
		}
	}
}
