package airpath

import (
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// nitrousOn is the reading above which nitrous counts as flowing, 1.
const nitrousOn = 0.5

// nitrous adds up, for each shift, how long nitrous flowed from its end to the next shift's
// start, or to the end of the last gear.
func nitrous(p *pass.Pass, set *dictionary.Set) {
	c := set.First(quantity.Nitrous)
	if c == nil {
		return
	}
	for i := range p.Shifts {
		from, to := p.Shifts[i].End.Value, 0.0
		switch {
		case i+1 < len(p.Shifts):
			to = p.Shifts[i+1].Start.Value
		case len(p.Gears) > 0:
			to = p.Gears[len(p.Gears)-1].End
		}
		x, on := c.Trace.Slice(from, to), 0.0
		for k := range x.V {
			next := to
			if k+1 < x.Len() {
				next = x.T[k+1]
			}
			if x.V[k] > nitrousOn {
				on += next - x.T[k]
			}
		}
		p.Shifts[i].NitrousTime = &on
	}
}
