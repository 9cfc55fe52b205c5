// Package fitcartest makes the record of an invented car by running it in the
// simulator with known parameters, so that fit, forecast, ledger and plan can be held
// to what went in. The car exists nowhere.
package fitcartest

import (
	"fmt"
	"math"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

// Sheet is what the owner of simtest's invented car knows of it.
func Sheet() *car.Sheet {
	c := simtest.Invented()
	e := func(v, rel float64) quantity.Estimate { return quantity.Estimate{Value: v, SD: rel * v} }
	s := &car.Sheet{
		Name: "Invented", Mass: e(c.Mass, 0.01), DragArea: e(c.DragArea, 0.05), RollingResist: e(c.Rolling, 0.2),
		LiftFront: quantity.Estimate{SD: 0.02}, LiftRear: quantity.Estimate{SD: 0.02}, Wheelbase: e(2.7, 0.001), CGHeight: e(-c.Transfer*2.7, 0.05),
		FrontWeightShare: e(c.DrivenShare, 0.01), Driven: car.FrontDriven, Gearbox: "synchro", ShiftStyle: "throttle lifted",
		FinalDrive: 1, LossShare: quantity.Estimate{Value: 1 - c.Efficiency, SD: 0.01},
		EngineInertia: e(c.EngineInertia, 0.15), DrivenInertia: e(c.DrivenInertia, 0.15), UndrivenInertia: e(c.UndrivenInertia, 0.15),
		TyreSize: "drag radial", TyreRadius: e(c.Radius, 0.003), Displacement: 0.0032, RevLimit: c.RevLimit,
		UsualBoost: simtest.InventedPass().Target,
	}
	s.Gears = c.Ratios
	for _, w := range simtest.InventedPass().ShiftSpeed {
		s.UsualShiftSpeed = append(s.UsualShiftSpeed, w-8)
	}
	return s
}

// Run is one pass of the record and what came of it.
type Run struct {
	Obs  *fitcar.Observation
	Pass *sim.Pass
	Trap float64 // m/s
}

// Driver's spreads in the record.
const (
	overSD  = 6.0  // rad/s
	timeRel = 0.06 // 1
	windSD  = 0.4  // m/s
	launchV = 0.05 // 1
)

// LaunchSpeed is the engine speed at the line, rad/s (4500 rpm).
const LaunchSpeed = 4500 * math.Pi / 30

// Pass draws a pass of the driver under given targets, Pa gauge by gear, with seed
// and number.
func Pass(seed uint64, i int, target []float64) *sim.Pass {
	r := xrand.Stream(seed, fmt.Sprintf("fitcartest/%d", i))
	p := simtest.InventedPass()
	p.Target = target
	f := math.Exp(launchV * r.NormFloat64())
	p.Start.V *= f
	p.Start.X *= f
	p.Air.Headwind += windSD * r.NormFloat64()
	for g := range p.ShiftSpeed {
		p.ShiftSpeed[g] += overSD * r.NormFloat64()
	}
	for g := range p.ShiftTime {
		p.ShiftTime[g] *= math.Exp(timeRel * r.NormFloat64())
	}
	return p
}

// Record runs n passes of the invented car at the boost targets by gear, Pa gauge.
func Record(n int, seed uint64, target []float64) ([]Run, error) {
	return RecordOf(simtest.Invented(), n, seed, target)
}

// RecordOf is Record for another engine in the invented car; where its ignition costs
// torque, the logs have ignition and charge temperature.
func RecordOf(c *sim.Car, n int, seed uint64, target []float64) ([]Run, error) {
	var out []Run
	for i := range n {
		p := Pass(seed, i, target)
		r := sim.Runner{Car: c, Keep: 0.02, Watch: true}
		res, err := r.Run(p)
		if err != nil {
			return nil, err
		}
		out = append(out, Run{observe(c, p, res, i), p, res.Trap})
	}
	return out, nil
}

// Observations are those of a record.
func Observations(runs []Run) []*fitcar.Observation {
	var out []*fitcar.Observation
	for _, r := range runs {
		out = append(out, r.Obs)
	}
	return out
}

// observe turns a simulated pass into what a log would tell.
func observe(c *sim.Car, p *sim.Pass, res *sim.Result, i int) *fitcar.Observation {
	sheet := Sheet()
	o := &fitcar.Observation{ID: fmt.Sprintf("p%d", i+1), File: fmt.Sprintf("p%d.csv", i+1), Hour: float64(i), Sheet: sheet,
		Target: p.Target, ShiftAim: sheet.UsualShiftSpeed, Cold: math.NaN(), Humidity: 0.5, Good: true, Air: p.Air, WindSD: windSD,
		Length: p.Length, Window: p.Window, Trap: res.Trap, TrapSD: 0.04, Finish: res.Time, Complete: true, LaunchSeen: LaunchSpeed, LineBoost: p.Air.Pressure + 8e3, Radius: c.Radius, Step: 0.02}
	// wind: what was noted is the mean of the day
	o.Air.Headwind = simtest.InventedPass().Air.Headwind
	t0 := res.Points[0].T
	o.T0 = t0
	k := 0
	n := int((res.Time - t0) / o.Step)
	for j := 0; j <= n; j++ {
		t := t0 + float64(j)*o.Step
		for k+1 < len(res.Points) && res.Points[k+1].T <= t {
			k++
		}
		a, b := res.Points[k], res.Points[min(k+1, len(res.Points)-1)]
		u := 0.0
		if b.T > a.T {
			u = min(1, max(0, (t-a.T)/(b.T-a.T)))
		}
		inShift := b.Gear != a.Gear
		g := a.Gear
		mix := func(x, y float64) float64 { return x*(1-u) + y*u }
		v := mix(a.V, b.V)
		engine, boost := mix(a.EngineSpeed, b.EngineSpeed), mix(a.Boost, b.Boost)+p.Air.Pressure
		if inShift {
			g, engine, boost = 0, math.NaN(), 25e3
		}
		o.X, o.V = append(o.X, mix(a.X, b.X)), append(o.V, v)
		o.Engine, o.Wheel, o.Boost = append(o.Engine, engine), append(o.Wheel, mix(a.Wheel, b.Wheel)), append(o.Boost, boost)
		o.Gear, o.Full = append(o.Gear, g), append(o.Full, !inShift)
		if e := &c.Engine; e.Spark.Loss > 0 {
			temp := e.ChargeTemperature(p.Air.Temperature, sim.Head(p.Air.Pressure, boost), engine)
			o.Spark, o.Charge = append(o.Spark, e.Spark.Set(engine, boost, temp)), append(o.Charge, temp)
		}
	}
	o.A = make([]float64, len(o.V))
	for j := range o.V {
		lo, hi := max(0, j-1), min(len(o.V)-1, j+1)
		o.A[j] = (o.V[hi] - o.V[lo]) / (float64(hi-lo) * o.Step)
	}
	for j := 1; j < len(res.Gears); j++ {
		a, b := res.Gears[j-1], res.Gears[j]
		o.Shifts = append(o.Shifts, fitcar.ShiftSeen{From: a.Gear, To: b.Gear, Start: a.T1, End: b.T0, Speed: a.Speed1, Lifted: true})
	}
	return o
}
