package fitcar

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/pass"
)

// lifted tells from the sheet whether the throttle is shut in shifts.
func lifted(s *car.Sheet) bool {
	switch {
	case contains(s.ShiftStyle, "held"), contains(s.ShiftStyle, "cut"):
		return false
	case contains(s.ShiftStyle, "lift"):
		return true
	}
	return !contains(s.Gearbox, "dog") && !contains(s.Gearbox, "sequential")
}

// Where spinning tyres take hold again as the clutch closes, the wheels can fall away from the
// engine once more: the launch goes on while they part again by brokenLoose within looseWithin of
// having met. Common practice, no source.
const (
	brokenLoose = 0.1 // 1
	looseWithin = 1.0 // s
)

// lock finds where the launch clutch has closed: the first sample from which
// engine and driven wheels turn in the ratio of the first gear for 0.2 s, and do not part again
// at once. Without
// a wheel speed of its own, engine speed over road speed must have fallen to within
// 15 % of rolling, or stopped falling.
func (o *Observation) lock(p *pass.Pass) bool {
	g := p.Gears[0].Gear
	if g < 1 || g > len(o.Sheet.Gears) {
		return false
	}
	ratio := o.Sheet.Gears[g-1] * o.Sheet.FinalDrive
	hold := int(0.2 / o.Step)
	run := 0
	for i := range o.X {
		if o.derived(ratio, g) {
			break // a wheel speed made of the engine's says nothing about the clutch
		}
		e, w := o.Engine[i], o.Wheel[i]
		if o.V[i] < 2 || math.IsNaN(e) || o.Gear[i] == 0 && i > 0 && o.time(i) > 4 {
			run = 0
			continue
		}
		if math.IsNaN(w) {
			w = o.V[i] / o.Radius
		}
		if d := e/(w*ratio) - 1; math.Abs(d) < 0.03 {
			run++
		} else {
			run = 0
		}
		if run >= hold {
			o.Lock = i - hold + 1
			if again := o.parts(i, ratio, g); again > i {
				i, run = again, 0
				continue
			}
			return true
		}
		if o.Gear[i] > g {
			break
		}
	}
	if o.Lock > 0 {
		return true // parted to the end of the gear: where they first met
	}
	// engine speed alone: where it first is within 15 % of rolling
	for i := range o.X {
		if o.Gear[i] > g {
			break
		}
		if e := o.Engine[i]; o.V[i] > 4 && !math.IsNaN(e) && e*o.Radius/(ratio*o.V[i]) < 1.15 {
			o.Lock = i
			return true
		}
	}
	// the tyres spin all through the gear: where the engine tells the wheels' speed, which it
	// does once the clutch has closed
	for i := range o.X {
		if o.V[i] > 2 && o.Full[i] && !math.IsNaN(o.Wheel[i]) {
			o.Lock = i
			return true
		}
	}
	return false
}

// parts is the last sample at which the wheels have fallen away from the engine soon after i, where
// both met in a gear of the overall ratio, 1; i where they stay together.
func (o *Observation) parts(i int, ratio float64, gear int) int {
	last, run := i, 0
	for j := i + 1; j < len(o.X) && o.Gear[j] == gear && o.time(j) < o.time(last)+looseWithin; j++ {
		if !(o.Engine[j]/(o.Wheel[j]*ratio)-1 > brokenLoose) {
			run = 0
			continue
		}
		if run++; run >= int(0.1/o.Step) {
			last = j
		}
	}
	return last
}

// derived tells that the driven wheels' speed was worked out from the engine's: they
// then agree more exactly in the first gear than two sensors can.
func (o *Observation) derived(ratio float64, gear int) bool {
	n, same := 0, 0
	for i := range o.X {
		if o.Gear[i] != gear || o.V[i] < 2 || math.IsNaN(o.Engine[i]) || math.IsNaN(o.Wheel[i]) {
			continue
		}
		n++
		if math.Abs(o.Engine[i]/(o.Wheel[i]*ratio)-1) < 5e-4 {
			same++
		}
	}
	return n > 10 && same > n*9/10
}

// feed moves the start of the model's pass past the driver's work on the throttle in
// the first gear: what he does there belongs to the launch.
func (o *Observation) feed() {
	first := len(o.X)
	if len(o.Shifts) > 0 {
		first = o.at(o.Shifts[0].Start)
	}
	for i := o.Lock + (first-o.Lock)*3/4; i > o.Lock; i-- {
		if !o.Full[i] && o.Gear[i] > 0 {
			o.Lock = min(i+int(0.08/o.Step), len(o.X)-1)
			return
		}
	}
}
