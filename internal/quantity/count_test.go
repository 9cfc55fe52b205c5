package quantity

import "testing"

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 passes are", 1: "1 pass is", 2: "2 passes are"} {
		if got := Count(n, "pass is", "passes are"); got != want {
			t.Errorf("Count(%d) = %q, want %q", n, got, want)
		}
	}
}
