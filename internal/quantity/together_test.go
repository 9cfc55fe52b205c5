package quantity

import "testing"

func TestTogether(t *testing.T) {
	for in, want := range map[string]string{
		"above 7.8 kPa for 0.50 s, from the launch": "above 7.8\u00a0kPa for 0.50\u00a0s, from the launch",
		"under 0.1 %":         "under 0.1\u00a0%",
		"in 3 shifts 2 m ran": "in 3 shifts 2\u00a0m ran", // a word that begins like a unit is none
		"":                    "",
	} {
		if got := Together(in); got != want {
			t.Errorf("%q becomes %q, not %q", in, got, want)
		}
	}
}
