package report

import "testing"

func TestRarity(t *testing.T) {
	for p, want := range map[float64]string{
		0: "fewer than 1 pass in 10 000", 1e-5: "fewer than 1 pass in 10 000", 1.0 / 731: "about 1 pass in 700",
		1.0 / 9900: "about 1 pass in 10000", 0.0099: "about 1 pass in 100", 0.013: "about 1 % of passes", 0.4: "about 40 % of passes",
	} {
		if got := Rarity(p); got != want {
			t.Errorf("%v: %q, want %q", p, got, want)
		}
	}
}
