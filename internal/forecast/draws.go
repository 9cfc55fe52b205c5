package forecast

import (
	"context"

	"traplight/internal/fitcar"
)

// Draw is one pass of the forecast's luck. Its figures are NaN where the line was not
// reached.
type Draw struct {
	Trap float64 // m/s
	Time float64 // s from rollout at the line
	Top  float64 // m/s, highest speed
	Stop float64 // m after the line
}

// Draws runs the passes of a forecast one by one and sums nothing up. Draw i meets the
// same luck whatever is set, so that two sets of settings can be compared draw by draw.
func Draws(ctx context.Context, m *fitcar.Model, n *Next, opt Options) ([]Draw, error) {
	if opt.Draws <= 0 {
		opt.Draws = 2000
	}
	runs, err := simulate(ctx, m, n, opt)
	if err != nil {
		return nil, err
	}
	return drawsOf(runs), nil
}

func drawsOf(runs []outcome) []Draw {
	out := make([]Draw, len(runs))
	for i, r := range runs {
		out[i] = Draw{Trap: r.trap, Time: r.time, Top: r.top, Stop: r.stop}
	}
	return out
}
