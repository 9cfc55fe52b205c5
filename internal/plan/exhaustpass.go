package plan

import (
	"math"

	"traplight/internal/fitcar"
)

// heatAfter is how long after a shift, s, the sensor still shows what went on in it.
const heatAfter = 0.3

// heatPass is one logged pass: the terms by sample, and what was read where.
type heatPass struct {
	step float64 // s
	row  [][heatTerms]float64
	// from is, by sample, the reading, K, that the lag starts anew from after a shift; NaN
	// where it goes on. In the shift and shortly after nothing is taken: the gas is another.
	from []float64
	at   []int
	read []float64
	shut float64            // s, the sensors' lag with the throttle shut; 0 unknown
	top  [heatGears]float64 // ln of the pressure over heatPressure by gear; −Inf where it was not used
}

func newHeatPass(m *fitcar.Model, k int) *heatPass {
	o := m.Passes[k].Obs
	if o.Exhaust == nil || o.Boost == nil || m.Passes[k].Weight < 0.5 {
		return nil
	}
	p := &heatPass{step: o.Step, shut: o.ExhaustLag}
	e := &m.Mean.Car.Engine
	var st heatState
	var speed, pressure float64
	left, anew := 0.0, true // s until readings count again; the lag starts anew
	for i := o.Lock; i < len(o.X); i++ {
		if v := o.Engine[i]; !math.IsNaN(v) {
			speed = v
		}
		if v := o.Boost[i]; !math.IsNaN(v) && v > 0 {
			pressure = v
		}
		if speed <= 0 || pressure <= 0 {
			continue
		}
		st.move(e, &o.Air, pressure, speed, o.Step)
		st.gear = o.Gear[i] - 1
		st.fed = o.Nitrous && o.Open != nil && o.Open[i] > 0.5
		if o.Gear[i] == 0 || !o.Full[i] {
			left, anew = heatAfter, true
			continue
		}
		if left -= o.Step; anew && (left > 0 || math.IsNaN(o.Exhaust[i])) {
			continue
		}
		start := math.NaN()
		if anew {
			start, anew = o.Exhaust[i], false
		}
		p.row, p.from = append(p.row, st.row()), append(p.from, start)
		if n := len(p.row) - 1; n%5 == 4 && !math.IsNaN(o.Exhaust[i]) {
			p.at, p.read = append(p.at, n), append(p.read, o.Exhaust[i])
		}
	}
	if len(p.at) < 20 {
		return nil
	}
	p.reach()
	return p
}

// reach sets top: what lasts, since the control overshoots after a shift.
func (p *heatPass) reach() {
	for g := range p.top {
		var all []float64
		for i := range p.row {
			if p.row[i][heatLaw+g] == 1 {
				all = append(all, p.row[i][1])
			}
		}
		p.top[g] = math.Inf(-1)
		if len(all) > 0 {
			p.top[g] = quantile(all, lastingShare)
		}
	}
}
