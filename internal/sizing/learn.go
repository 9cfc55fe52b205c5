package sizing

import (
	"cmp"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/compressor"
	"traplight/internal/physics/nozzle"
	"traplight/internal/quantity"
)

// OwnPass is a pass of the car with what the crew noted of it.
type OwnPass struct {
	Name  string
	Pass  *pass.Pass
	Note  *car.PassNote // nil without one
	Strip car.Strip
}

// mostRuns is how many of the car's passes set the level of power: the fastest.
const mostRuns = 3

// Learn gathers from the car's own passes what sizing can use; nil when they tell
// nothing. Passes with a lift before the line serve for shifts and air path only.
func Learn(passes []OwnPass, s *car.Sheet) *Measured {
	m := &Measured{}
	var grip, least, dead, back, ve, eff, lambda, cooler, exhaust, area, brake gather
	for _, o := range passes {
		p := o.Pass
		if r, ok := runOf(o); ok {
			m.Runs = append(m.Runs, r)
		}
		if u, ok := pullOf(&o, s.LossShare.Value); ok {
			m.Pulls = append(m.Pulls, u)
		}
		if g := p.Grip; g != nil {
			if g.ReachedPeak {
				grip.add(g.PeakGrip.Value, g.PeakGrip.SD)
			} else {
				least.add(highest(p), 0.05)
			}
		}
		for _, sh := range p.Shifts {
			if d := sh.End.Value - sh.Start.Value; !sh.Missed && d > 0 {
				dead.add(d, math.Hypot(sh.Start.SD, sh.End.SD))
			}
			if sh.ToTarget != nil {
				back.add(math.Max(0.05, sh.ToTarget.Value), sh.ToTarget.SD)
			}
		}
		if a := p.AirPath; a != nil {
			if e := a.VolumetricEfficiency; e != nil {
				ve.add(e.Value, e.SD)
			}
			if a.CoolerEffectiveness != nil {
				cooler.add(*a.CoolerEffectiveness, 0.05)
			}
		}
		if f := p.Fuel; f != nil {
			if f.Efficiency != nil {
				eff.add(f.Efficiency.Value, f.Efficiency.SD)
			}
			if f.Lambda != nil {
				lambda.add(f.Lambda.Value, f.Lambda.SD)
			}
		}
		t3 := math.NaN()
		for _, g := range p.Gears {
			if g.MaxExhaustTemp != nil && !(*g.MaxExhaustTemp < t3) {
				t3 = *g.MaxExhaustTemp
			}
		}
		// A probe in the gas lags and radiates: the gas is hotter than the probe by some tens of
		// kelvin (common practice, no source).
		if t3 > 700 && t3 < 1500 {
			exhaust.add(t3+20, 30)
		}
		if a, ok := areaOf(p, t3); ok {
			area.add(a, 0.1*a)
		}
		if b, ok := brakingOf(p); ok {
			brake.add(b, 0.05)
		}
	}
	if len(m.Runs) > mostRuns {
		slices.SortStableFunc(m.Runs, func(a, b OwnRun) int { return cmp.Compare(b.Trap, a.Trap) })
		m.Runs = m.Runs[:mostRuns]
	}
	m.Pulls = highestPulls(m.Pulls)
	m.Passes = len(passes)
	m.Grip, m.ShiftTime, m.Recovery = grip.estimate(), dead.estimate(), back.estimate()
	if m.Grip == nil {
		// Grip that was never used up is known from below: what is assumed may only be raised.
		if low := least.most(); low > 0 {
			e, _ := gripOf(s.TyreSize)
			if e.Value < low {
				m.Grip = &quantity.Estimate{Value: low + e.SD/2, SD: e.SD / 2, LowerBound: true}
			}
		}
	}
	m.Fill, m.Efficiency, m.Lambda, m.Cooler = ve.estimate(), eff.estimate(), lambda.estimate(), cooler.estimate()
	m.Exhaust, m.TurbineArea, m.Braking = exhaust.estimate(), area.estimate(), brake.estimate()
	if m.empty() {
		return nil
	}
	return m
}

func (m *Measured) empty() bool {
	return len(m.Runs) == 0 && len(m.Pulls) == 0 && m.Grip == nil && m.ShiftTime == nil && m.Recovery == nil && m.Fill == nil && m.Efficiency == nil && m.Lambda == nil &&
		m.Cooler == nil && m.Exhaust == nil && m.TurbineArea == nil && m.Braking == nil
}

// runOf takes what the level of power needs of a pass run to the line.
func runOf(o OwnPass) (OwnRun, bool) {
	p := o.Pass
	if p.Trap == nil || p.Power == nil || !p.Complete || p.Finish == nil || !(p.Power.PeakWheel.Value > 0) {
		return OwnRun{}, false
	}
	if p.Lift != nil && *p.Lift < p.Finish.Value-0.1 {
		return OwnRun{}, false
	}
	if onNitrous(&o) || slices.ContainsFunc(p.Shifts, func(s pass.Shift) bool { return s.Missed }) {
		return OwnRun{}, false
	}
	nan := math.NaN()
	r := OwnRun{Name: o.Name, Trap: p.Trap.Value, Length: p.Length, Window: p.TrapWindow, Wheel: p.Power.PeakWheel, Grade: o.Strip.Grade,
		Weather: car.Weather{AirTemp: nan, Pressure: nan, Humidity: nan, Headwind: nan, HeadwindS: nan}}
	if a := p.Air; a != nil && a.Source != "assumed" {
		r.Weather.AirTemp, r.Weather.Pressure, r.Weather.Humidity = a.Temperature, a.Pressure, a.Humidity
	}
	if n := o.Note; n != nil {
		r.Weather.Headwind, r.Weather.HeadwindS = n.Weather.Headwind, n.Weather.HeadwindS
		r.Boost = n.BoostTarget
		if !math.IsNaN(n.MassAdd) {
			r.MassAdd = n.MassAdd
		}
	}
	return r, true
}

// highest is the highest grip used in any gear of a pass, 1.
func highest(p *pass.Pass) float64 {
	most := 0.0
	for _, g := range p.Gears {
		if g.UsedGripMean != nil {
			most = math.Max(most, *g.UsedGripMean)
		}
	}
	return most
}

// areaOf is the effective area, m², that turbines and wastegates together showed at peak
// power: the exhaust's flow, its temperature and the pressures on both sides.
func areaOf(p *pass.Pass, t3 float64) (float64, bool) {
	a, f := p.AirPath, p.Fuel
	if a == nil || f == nil || p.Power == nil || p.Power.BackPressureRatio == nil || p.Power.FuelFlow == nil || !(a.PeakManifold > 0) {
		return 0, false
	}
	air := f.AirByFuel
	if air == nil {
		air = a.AirFlow
	}
	if air == nil {
		return 0, false
	}
	if !(t3 > 700 && t3 < 1500) {
		t3 = 1150
	}
	p3 := *p.Power.BackPressureRatio * a.PeakManifold
	x := nozzle.Area(air.Value+*p.Power.FuelFlow, p3, a.Barometer.Value+pipeBack.Value, t3, compressor.GammaGas, compressor.GasExhaust)
	return x, x > 0 && !math.IsInf(x, 1)
}

// brakingOf is the deceleration, g, of the hardest two seconds after the line, if the log
// shows the car braking; a car that rolls out says nothing of what it can do.
func brakingOf(p *pass.Pass) (float64, bool) {
	const span = 2.0 // s
	m := &p.Motion
	if p.Finish == nil || m.Step <= 0 {
		return 0, false
	}
	n := int(span / m.Step)
	hardest := 0.0
	for i := int((p.Finish.Value - m.Start) / m.Step); i >= 0 && i+n < len(m.V); i++ {
		if m.V[i+n] < 20 {
			break
		}
		hardest = math.Max(hardest, (m.V[i]-m.V[i+n])/span/gravity)
	}
	return hardest, hardest > 0.35
}

// gather collects values of one thing from several passes.
type gather struct{ v, sd []float64 }

func (g *gather) add(v, sd float64) {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return
	}
	if !(sd >= 0) {
		sd = 0
	}
	g.v, g.sd = append(g.v, v), append(g.sd, sd)
}

func (g *gather) most() float64 {
	if len(g.v) == 0 {
		return 0
	}
	return slices.Max(g.v)
}

// estimate is the median, with the greater of the scatter between passes and the usual
// error of one: sensors err the same way in every pass.
func (g *gather) estimate() *quantity.Estimate {
	if len(g.v) == 0 {
		return nil
	}
	sd := stats.Median(g.sd)
	if len(g.v) > 2 {
		sd = math.Max(sd, stats.MAD(g.v))
	}
	return &quantity.Estimate{Value: stats.Median(g.v), SD: sd}
}
