package reconstruct

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/force"
	"traplight/internal/num/stats"
)

const (
	// farScale is how far off, in natural logarithm, a wheel channel is looked for:
	// less than half of what usual gears lie apart (0.25 to 0.45).
	farScale = 0.2
	// scaleStep is the step of that search.
	scaleStep = 0.005
	// farBetter is how many times more samples must stand at gears' ratios with the
	// other scale than with the file's.
	farBetter = 2.0
	// fewestGears is at how many gears' ratios they must stand.
	fewestGears = 3
	// gearShare is the share of all samples that a gear needs to count.
	gearShare = 0.03
)

// farOff is the natural logarithm by which a wheel channel must be multiplied so that
// engine speed over wheel speed stands at the gears' ratios, where with the file's own
// scale it stands beside them: wrong teeth or a wrong circumference in the logger. 0 when
// the file's scale will do, or when it cannot be told.
func (d *driveline) farOff(g *grid) float64 {
	var x []float64 // ln(engine / wheel)
	for i, v := range g.v {
		if v > 8 && g.wheel[i] > 4 && g.engine[i] > 100 && g.a[i] > pullsHard {
			x = append(x, math.Log(g.engine[i]/g.wheel[i]))
		}
	}
	if len(x) < 200 {
		return 0
	}
	best, own := 0.0, 0
	most := 0
	for k := -farScale; k <= farScale+scaleStep/2; k += scaleStep {
		n, gears := d.standing(x, k)
		if math.Abs(k) < mostScale {
			own = max(own, n)
		}
		if n > most && gears >= fewestGears {
			most, best = n, k
		}
	}
	if math.Abs(best) < mostScale || float64(most) < farBetter*float64(own) || 2*most < len(x) {
		return 0
	}
	return best
}

// pullsHard is how hard a car pulls, m/s², that is certainly in gear.
const pullsHard = 1.5

// standing counts the samples that stand at a gear's ratio once the wheel channel is
// multiplied by exp(k), and the gears at which they do.
func (d *driveline) standing(x []float64, k float64) (n, gears int) {
	at := make([]int, len(d.ratios))
	for _, l := range x {
		for j, r := range d.ratios {
			if math.Abs(l-k-math.Log(r)) < 1.5*scaledSpread {
				at[j]++
				n++
				break
			}
		}
	}
	for _, m := range at {
		if float64(m) > gearShare*float64(len(x)) {
			gears++
		}
	}
	return n, gears
}

// freeRoll is the natural logarithm of the driven wheels' speed over the car's where they
// roll free, the car pulling but little and not braking hard; ok is false when they hardly do.
func (d *driveline) freeRoll(g *grid, b *force.Body) (k float64, ok bool) {
	var x []float64
	for i, v := range g.v {
		if v > 8 && g.wheel[i] > 4 && g.a[i] > -2 && g.a[i] < 0.3 {
			x = append(x, math.Log(g.wheel[i]*b.RadiusAt(v)/v))
		}
	}
	if len(x) < 50 {
		return 0, false
	}
	return stats.Median(x), true
}

// wrongRatios says whether it is rather the sheet's ratios that are off by far, a natural
// logarithm: the driven wheels, rolling free, then run as fast as the car.
func (d *driveline) wrongRatios(far float64, g *grid, b *force.Body) bool {
	k, ok := d.freeRoll(g, b)
	return ok && math.Abs(k) < 0.03 && math.Abs(far) > 2*math.Abs(k)
}

// correctRatios brings the sheet's ratios to engine speed over wheel speed, and tells.
func (d *driveline) correctRatios(far float64) {
	d.ratios = slices.Clone(d.ratios)
	for i := range d.ratios {
		d.ratios[i] *= math.Exp(far)
	}
	d.notes = append(d.notes, fmt.Sprintf("engine speed over the driven wheels' speed says that all ratios are %+.1f %% off the sheet's (another final drive?); the measured ones were taken", 100*(math.Exp(far)-1)))
}

// sayFarOff tells that the driven wheels' channel was off.
func (d *driveline) sayFarOff() {
	d.notes = append(d.notes, fmt.Sprintf("the driven wheels' speed reads %+.1f %% against engine speed and the gear ratios of the sheet; it was brought to them (check the teeth or circumference set in the logger, or the ratios)", 100*(math.Exp(-d.scaledBy)-1)))
}
