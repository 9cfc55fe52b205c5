package fitcar

import "math"

// A shift comes late by the driver's and the box's time: the faster the engine gains speed, the
// further it is over the aim when torque ends. Common practice, no source.
const (
	lateMean, lateSD = 0.03, 0.03 // s
	lateMost         = 900.0      // rad/s², what a wheel that spins up brings; more is no pull
	overFar          = 2.0        // 1, spreads beyond which a shift counts less
)

// shiftOver is one shift of the record.
type shiftOver struct {
	from int
	over float64 // rad/s, over the aim
	pull float64 // rad/s², by which the engine gained speed just before; NaN unknown
}

// learnOver learns by how much torque ends over the aim, by gear: over = a + late·pull, both
// with priors, by weighted least squares in which shifts far off count less.
func (d *Driver) learnOver(seen []shiftOver, gears int) {
	d.OverBy = make([]float64, max(1, gears-1))
	if len(seen) == 0 {
		d.Over, d.OverSD = 10, 3*overPriorSD
		for g := range d.OverBy {
			d.OverBy[g] = d.Over
		}
		return
	}
	var all, pulls []float64
	by := make([][]float64, len(d.OverBy))
	for i := range seen {
		s := &seen[i]
		all = append(all, s.over)
		if s.pull > 0 {
			s.pull = min(s.pull, lateMost)
			pulls = append(pulls, s.pull)
			if s.from-1 < len(by) {
				by[s.from-1] = append(by[s.from-1], s.pull)
			}
		}
	}
	d.Over = median(all)
	usual := median(pulls)
	for i := range seen {
		if !(seen[i].pull > 0) {
			seen[i].pull = usual
		}
	}
	// about the usual pull, so that a is the median's and late the slope's alone
	a, late := d.Over, lateMean
	for range 5 {
		saa, sal, sll, ba, bl := 1/(36*overPriorSD*overPriorSD), 0.0, 1/(lateSD*lateSD), d.Over/(36*overPriorSD*overPriorSD), lateMean/(lateSD*lateSD)
		for _, s := range seen {
			x := s.pull - usual
			w := 1 / (overPriorSD * overPriorSD)
			if r := math.Abs(s.over-a-late*x) / overPriorSD; r > overFar {
				w *= overFar / r
			}
			saa, sal, sll = saa+w, sal+w*x, sll+w*x*x
			ba, bl = ba+w*s.over, bl+w*x*s.over
		}
		det := saa*sll - sal*sal
		a, late = (ba*sll-bl*sal)/det, (saa*bl-sal*ba)/det
	}
	dev := make([]float64, len(seen))
	for i, s := range seen {
		dev[i] = max(-30, min(30, s.over-a-late*(s.pull-usual)))
	}
	d.OverSD = spread(dev, overPriorSD, priorShifts)
	for g := range d.OverBy {
		pull := usual
		if len(by[g]) > 0 {
			pull = median(by[g])
		}
		d.OverBy[g] = a + late*(pull-usual)
	}
}

// OverIn is by how much torque ends over the aim of a gear, from 1, rad/s.
func (d *Driver) OverIn(gear int) float64 {
	if n := len(d.OverBy); n > 0 {
		return d.OverBy[min(max(gear, 1), n)-1]
	}
	return d.Over
}
