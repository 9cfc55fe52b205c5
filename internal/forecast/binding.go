package forecast

import "fmt"

// binding says what holds the car back in each gear.
func binding(runs []outcome, n *Next) []string {
	type count struct{ seen, grip, low int }
	var by [maxGears]count
	for _, r := range runs {
		for _, g := range r.gears {
			c := &by[min(g.Gear-1, maxGears-1)]
			c.seen++
			if g.PastPeak > 0.05 {
				c.grip++
			}
			if !g.Reached && g.Gear-1 < len(n.Target) {
				c.low++
			}
		}
	}
	var out []string
	for i, c := range by {
		if c.seen == 0 {
			continue
		}
		if share := float64(c.grip) / float64(c.seen); share > 0.3 {
			out = append(out, fmt.Sprintf("grip in %d", i+1))
		} else if float64(c.low)/float64(c.seen) > 0.5 {
			out = append(out, fmt.Sprintf("boost not reached in %d", i+1))
		}
	}
	return out
}
