package sizing

import (
	"fmt"
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/quantity"
)

// breath is one draw of the engine at one engine speed.
type breath struct {
	air, fuel             float64 // kg/s
	manifold, barometer   float64 // Pa absolute
	inlet, inletPressure  float64 // K, Pa: before the compressor
	ratio, outlet, charge float64 // 1, K, K
	shaft                 float64 // W, all compressors
	speed                 float64 // rad/s, engine
	fill, eta             float64 // 1, volumetric and compressor's efficiency
}

// breathe works out what the engine must breathe at peak power.
func (st *study) breathe() {
	s, d := st.q.Sheet, st.drawPath()
	st.breaths = make([]breath, st.n)
	for i := range st.n {
		b := &st.breaths[i]
		*b = breath{air: math.NaN(), fuel: math.NaN(), manifold: math.NaN(), ratio: math.NaN(), outlet: math.NaN(), charge: math.NaN(), shaft: math.NaN(), speed: math.NaN()}
		if math.IsNaN(st.crank[i]) {
			continue
		}
		b.air = st.crank[i] / d.burn[i]
		b.fuel = b.air / (d.lambda[i] * d.stoich[i])
		b.speed = st.fleet.cars[i].peakSpeed
	}
	out := &Engine{
		Basis: Basis{
			Method: "air and fuel from power by the engine's efficiency; manifold pressure by speed and density; charge temperature from the compressor's efficiency and the cooler's effectiveness",
			Source: "J. B. Heywood, Internal Combustion Engine Fundamentals (1988), 2.9, 2.10; Saravanamuttoo, Rogers, Cohen, Gas Turbine Theory, chapter 2",
		},
		OverLimits: []Over{},
	}
	st.r.Engine = out
	out.Air = st.of(quantity.DimMassFlow, func(b *breath) float64 { return b.air })
	out.Speed = st.of(quantity.DimRotation, func(b *breath) float64 { return b.speed })
	if !(s.Displacement > 0) {
		st.missing("No boost, pressure ratio or charge temperature: the car sheet does not state displacement_l.")
		return
	}
	st.pressures(out, d)
	out.Barometer = st.of(quantity.DimPressure, func(b *breath) float64 { return b.barometer })
	out.Boost = st.of(quantity.DimPressure, func(b *breath) float64 { return b.manifold - b.barometer })
	out.Manifold = st.of(quantity.DimPressure, func(b *breath) float64 { return b.manifold })
	out.Ratio = st.of(quantity.DimNumber, func(b *breath) float64 { return b.ratio })
	out.Outlet = st.of(quantity.DimTemperature, func(b *breath) float64 { return b.outlet })
	out.Charge = st.of(quantity.DimTemperature, func(b *breath) float64 { return b.charge })
	out.Shaft = st.of(quantity.DimPower, func(b *breath) float64 { return b.shaft })
	mean := nans(st.n)
	for i := range mean {
		mean[i] = compressor.MeanPressure(st.crank[i]/st.breaths[i].speed, s.Displacement)
	}
	out.MeanPress = figureOf(quantity.DimPressure, mean)
	st.engineLimits(out)
}

// of summarises one figure of the breaths.
func (st *study) of(dim quantity.Dimension, f func(b *breath) float64) *Figure {
	x := make([]float64, st.n)
	for i := range x {
		x[i] = f(&st.breaths[i])
	}
	return figureOf(dim, x)
}

// pressures solves manifold pressure, charge temperature and compressor together.
func (st *study) pressures(out *Engine, d *airPath) {
	for i := range st.n {
		b := &st.breaths[i]
		day := st.fleet.air[i]
		b.barometer = day.Pressure
		b.inlet = day.Temperature + math.Max(0, d.rise[i])
		b.inletPressure = day.Pressure - math.Max(0, d.before[i])
		if math.IsNaN(b.air) {
			continue
		}
		cold := day.Temperature + d.medium[i]
		b.charge, b.manifold = 320, math.Max(day.Pressure, d.seen)
		for range 60 {
			swept := st.swept(d, i, b.speed, b.manifold)
			b.fill = 4 * math.Pi * swept / (st.q.Sheet.Displacement * b.speed)
			b.manifold = b.air / swept * compressor.GasAir * b.charge
			st.outletOf(b, d, i)
			next := chargeOf(b.outlet, cold, d.cooler[i])
			if math.Abs(next-b.charge) < 1e-7 {
				break
			}
			b.charge = (b.charge + next) / 2
		}
		b.shaft = b.air * compressor.Work(b.inlet, b.outlet, compressor.CpAir)
	}
	out.Schedule = st.schedule(d)
}

// compressorEfficiency is that of the map at the draw's point, else the draw's own.
func (st *study) compressorEfficiency(b *breath, drawn float64) float64 {
	if m := st.q.Map; m != nil && m.HasEfficiency() {
		flow := m.Reference.Flow(b.air/float64(st.turbos()), b.inlet, b.inletPressure)
		if e := m.Locate(flow, b.ratio).Efficiency; e > 0.3 {
			return e
		}
		return math.Min(drawn, 0.6) // off the map
	}
	return math.Min(0.85, math.Max(0.4, drawn))
}

func (st *study) turbos() int {
	switch {
	case st.q.Turbos > 0:
		return st.q.Turbos
	case st.q.Sheet.TurboCount > 0:
		return st.q.Sheet.TurboCount
	}
	return 1
}

func (st *study) engineLimits(out *Engine) {
	l := st.q.Sheet.Limits
	add := func(name string, limit float64, dim quantity.Dimension, f func(i int, b *breath) float64) {
		if !(limit > 0) {
			return
		}
		n, over := 0, 0
		for i := range st.n {
			if x := f(i, &st.breaths[i]); !math.IsNaN(x) {
				n++
				if x > limit {
					over++
				}
			}
		}
		if n > 0 {
			out.OverLimits = append(out.OverLimits, Over{name, limit, float64(over) / float64(n), dim})
		}
	}
	add("max_boost", l.MaxBoost, quantity.DimPressure, func(_ int, b *breath) float64 { return b.manifold - b.barometer })
	add("max_crank_power", l.MaxCrankPower, quantity.DimPower, func(i int, _ *breath) float64 { return st.crank[i] })
	add("max_charge_temp", l.MaxChargeTemp, quantity.DimTemperature, func(_ int, b *breath) float64 { return b.charge })
}

func drawsText(n int) string {
	return fmt.Sprintf("median and bounds of nine in ten of %d draws over all that is uncertain", n)
}
