package sizing

import (
	"math"

	"traplight/internal/quantity"
)

// gearing tells the way through the gears and what each asks of the gearbox.
func (st *study) gearing() {
	s := st.q.Sheet
	out := &Gearing{
		Basis: Basis{
			Method: "the pass to the target, gear by gear; torque at the input shaft is the crank's less what spins up the engine, or what the tyres carry",
			Source: "Gillespie, chapter 2; rolling radius grows with the square of speed (" + practice + ")",
		},
		Gears: []Gear{}, FinalNow: s.FinalDrive, Clutch: s.ClutchTorque,
	}
	st.r.Gearing = out
	k := st.levels()
	n := 0
	atLine := make([]int, len(s.Gears)+1)
	line, final := nans(st.n), nans(st.n)
	limiter := 0
	for i := range st.n {
		if math.IsNaN(st.crank[i]) {
			continue
		}
		n++
		o := &st.runs[i]
		atLine[o.last]++
		line[i] = o.lastSpeed
		final[i] = s.FinalDrive * st.fleet.cars[i].peakSpeed / o.lastSpeed
		if o.limiter {
			limiter++
		}
	}
	for g, c := range atLine {
		if c > atLine[out.LineGear] {
			out.LineGear = g
		}
	}
	out.LineSpeed = figureOf(quantity.DimRotation, line)
	out.Limiter = float64(limiter) / float64(max(1, n))
	out.Final = figureOf(quantity.DimNumber, final)
	for g := range s.Gears {
		out.Gears = append(out.Gears, st.gear(g, k, n))
	}
	if len(s.Limits.GearboxTorque) == 0 {
		st.missing("No torque was held against the gearbox: the car sheet does not state gearbox_torque_nm_by_gear under [limits].")
	}
}

// usualSlip is the slip of driven tyres that pull hard below their limit, 1.
const usualSlip = 0.02

// RoadSpeed returns the speed of the car, m/s, at engine speed, rad/s, overall ratio, 1, and
// slip, 1, for a rolling radius, m, that grows by growth, 1/(m/s)²: v·(1 + s)·n = ω·r·(1 + growth·v²).
// +Inf where no speed fulfils that.
func RoadSpeed(engine, ratio, radius, growth, slip float64) float64 {
	u := engine / ratio * radius / (1 + slip)
	// growth·u·v² − v + u = 0; the smaller root is the one without growth, moved.
	d := 1 - 4*growth*u*u
	if d < 0 {
		return math.Inf(1)
	}
	return 2 * u / (1 + math.Sqrt(d))
}

// levels is real over modelled power by draw, 1: torques of the modelled pass scale by it
// while the engine limits.
func (st *study) levels() []float64 {
	k := nans(st.n)
	for i := range k {
		if st.runs[i].wheel > 0 {
			k[i] = st.wheel[i] / st.runs[i].wheel
		}
	}
	return k
}

func (st *study) gear(g int, level []float64, n int) Gear {
	s := st.q.Sheet
	out := Gear{Gear: g + 1, Overall: s.Gears[g] * s.FinalDrive, ShiftAt: st.fleet.cars[0].shiftAt[g]}
	road, after, time, torque, input, tyres := nans(st.n), nans(st.n), nans(st.n), nans(st.n), nans(st.n), nans(st.n)
	if l := s.Limits.GearboxTorque; len(l) > 0 {
		out.Limit = l[min(g, len(l)-1)]
	}
	used, over, slips := 0, 0, 0
	for i := range st.n {
		c := &st.fleet.cars[i]
		if !math.IsInf(out.ShiftAt, 1) {
			road[i] = RoadSpeed(out.ShiftAt, c.ratios[g], c.radius, c.growth, usualSlip)
		}
		if math.IsNaN(st.crank[i]) || g >= len(st.runs[i].gears) {
			continue
		}
		used++
		r := st.runs[i].gears[g]
		if r.begin > 0 {
			after[i] = r.begin
		}
		time[i], tyres[i] = r.time, r.byTyres
		torque[i] = r.torque * level[i]
		input[i] = r.input * level[i]
		if r.byTyres > 0.5 {
			input[i] = r.input // the tyres do not carry more for more power
		}
		if out.Limit > 0 && input[i] > out.Limit {
			over++
		}
		if s.ClutchTorque > 0 && input[i] > s.ClutchTorque {
			slips++
		}
	}
	if math.IsInf(out.ShiftAt, 1) {
		out.ShiftAt = 0
	}
	if g > 0 {
		d := 1 - s.Gears[g]/s.Gears[g-1]
		out.Drop = &d
	}
	out.ShiftSpeed, out.After, out.Time = figureOf(quantity.DimSpeed, road), figureOf(quantity.DimRotation, after), figureOf(quantity.DimTime, time)
	out.Torque, out.Input, out.ByTyres = figureOf(quantity.DimTorque, torque), figureOf(quantity.DimTorque, input), figureOf(quantity.DimShare, tyres)
	out.Used = float64(used) / float64(max(1, n))
	if used > 0 {
		if out.Limit > 0 {
			x := float64(over) / float64(used)
			out.Over = &x
		}
		if s.ClutchTorque > 0 {
			x := float64(slips) / float64(used)
			out.Clutch = &x
		}
	}
	return out
}
