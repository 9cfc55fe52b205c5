package app

import (
	"testing"

	"traplight/internal/quantity"
)

// TestWindWords: what rounds to nothing in the reader's unit is no wind.
func TestWindWords(t *testing.T) {
	v := func(x float64) *float64 { return &x }
	for _, c := range []struct {
		a    AirState
		want string
	}{
		{AirState{Headwind: v(-0.1)}, "wind: none along the strip"},
		{AirState{Headwind: v(-0.1), Crosswind: v(0.1), Gust: v(4.4704)}, "wind: none along the strip, gusts to 10 mph"},
		{AirState{Headwind: v(-2.2352), Crosswind: v(-0.89408)}, "wind: 5 mph from behind, 2 mph across it from the left"},
		{AirState{Headwind: v(0.44704), Gust: v(0.1)}, "wind: 1 mph against the car"},
		{AirState{}, ""},
	} {
		if got := c.a.WindWords(quantity.Imperial); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
