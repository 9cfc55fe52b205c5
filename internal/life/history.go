package life

import (
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// Pass is what parts see of one pass: plain series on one grid.
type Pass struct {
	Name     string                 // as shown, such as the log's name
	Car      string                 // as the notes or the sheet name it; "" not known
	When     string                 // local date or date and time; "" not known
	NoLog    bool                   // it is known to have been run, but nothing was recorded of it
	Step     float64                // s
	Gear     []int                  // by sample; 0 none
	Full     []bool                 // full throttle, by sample
	Engine   []float64              // rad/s by sample; NaN not known
	Loads    map[car.Load][]float64 // SI unit of each load by sample; NaN not known; a load that no channel tells is absent
	TorqueSD float64                // 1, relative standard deviation of the torques, common to the pass
}

// FromPass takes a reconstructed pass apart into what parts see. set may be nil: then
// only torques and speeds that the pass itself holds are there.
func FromPass(p *pass.Pass, set *dictionary.Set, sheet *car.Sheet) Pass {
	m, f := &p.Motion, p.Force
	out := Pass{Step: m.Step, Loads: map[car.Load][]float64{}}
	if f == nil || len(f.Gear) == 0 {
		out.NoLog = true
		return out
	}
	n := len(f.Gear)
	out.Gear, out.Full, out.Engine = slices.Clone(f.Gear), slices.Clone(f.FullThrottle), slices.Clone(f.EngineSpeed)
	hub, box, crank := nans(n), nans(n), nans(n)
	var rel, torque float64
	for i := range n {
		// Before the launch nothing pulls; what the smoother shows there is noise.
		if t := m.Start + float64(i)*m.Step; t < p.Launch.Value {
			hub[i], box[i], crank[i] = 0, 0, 0
			continue
		}
		hub[i] = f.HubTorque[i]
		g := f.Gear[i]
		if g < 1 || g > len(sheet.Gears) {
			hub[i], box[i], crank[i] = 0, 0, 0 // in a shift
			continue
		}
		box[i] = hub[i] / (sheet.Gears[g-1] * sheet.FinalDrive * (1 - sheet.LossShare.Value))
		crank[i] = box[i] + sheet.EngineInertia.Value*slope(f.EngineSpeed, i, m.Step)
		if f.FullThrottle[i] && hub[i] > 0 && i < len(f.HubSD) {
			rel += f.HubSD[i]
			torque += hub[i]
		}
	}
	// The loss is a guess of the sheet: it errs the same way in every pass.
	out.TorqueSD = sheet.LossShare.SD / (1 - sheet.LossShare.Value)
	if torque > 0 {
		out.TorqueSD = math.Hypot(out.TorqueSD, rel/torque)
	}
	out.Loads[car.HubTorque], out.Loads[car.GearboxTorque], out.Loads[car.CrankTorque] = hub, box, crank
	out.Loads[car.EngineSpeed] = out.Engine
	if set != nil {
		out.channels(p, set)
	}
	return out
}

// channels takes loads that a channel of the log tells, on the pass's grid.
func (out *Pass) channels(p *pass.Pass, set *dictionary.Set) {
	n := len(out.Gear)
	most := func(q quantity.Name, offset float64) []float64 {
		all := set.All(q)
		if len(all) == 0 {
			return nil
		}
		x := nans(n)
		for _, c := range all {
			for i := range x {
				if v, ok := c.Trace.At(p.Motion.Start + float64(i)*p.Motion.Step); ok && !(v-offset <= x[i]) {
					x[i] = v - offset
				}
			}
		}
		return x
	}
	add := func(l car.Load, x []float64) {
		if x != nil {
			out.Loads[l] = x
		}
	}
	add(car.TurboSpeed, most(quantity.TurboSpeed, 0))
	add(car.ExhaustTemp, most(quantity.ExhaustTemperature, 0))
	if p.AirPath != nil && p.AirPath.ManifoldZero != 0 {
		add(car.Boost, most(quantity.ManifoldPressure, p.AirPath.ManifoldZero))
	}
}

// slope is the central difference over ± 3 samples, per second; 0 where it is not known.
func slope(x []float64, i int, step float64) float64 {
	lo, hi := max(0, i-3), min(len(x)-1, i+3)
	if hi <= lo || step <= 0 {
		return 0
	}
	d := (x[hi] - x[lo]) / (float64(hi-lo) * step)
	if math.IsNaN(d) {
		return 0
	}
	return d
}

func nans(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = math.NaN()
	}
	return x
}
