package plan

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/physics/turbomap"
	"traplight/internal/sim"
)

// rotor turns head and flow into the compressor's speed: by its map, where the sheet names one,
// by its wheel, or in proportion only. At one blade speed U the work that a wheel does falls with
// its flow: work over U², ψ, and flow over U and πR², φ, lie on an ellipse about zero,
//
//	(ψ/ψ₀)² + (φ/φ₀)² = 1    so    U⁴ − F·U² − H² = 0,  F = (flow/φ₀)², H = work/ψ₀,
//
// so that an engine which swallows more with every kilopascal needs more speed than the head
// alone says. The form and φ₀ are those of the open diesel set (Wahlström and Eriksson 2011;
// references/turbo.md), whose seven points at three speeds it meets within 4 % but for one near
// choke. Filter, pipes and cooler take their share of the compressor's pressure with the square
// of the flow.
type rotor struct {
	flow float64 // 1, of the reference, with which the wheel was bought
	work float64 // 1, its head there, losses of filter and cooler included

	// Of one compressor, where speed is to be told in rad/s.
	radius      float64              // m, of the wheel's outlet; 0 unknown
	chart       *turbomap.Compressor // its map; nil unknown
	each        float64              // kg/s for a flow of 1
	temperature float64              // K, of the air that it takes in
	pressure    float64              // Pa, the same
	spread      float64              // 1, of the speed, but for the flow's share of the reference; 0: in proportion only
}

const (
	// flowShare is the square of φ/φ₀ with the flow that a wheel was bought for: 0.19 of 0.262.
	flowShare = 0.525
	fullFlow  = 0.262 // φ₀ of the open diesel set
	// ψ₀, isentropic work over blade speed squared without flow: the open diesel set has 0.83,
	// wheels with blades swept far back 0.6 to 0.65 (common practice, no source).
	fullHead = 0.72

	chartSpread   = 0.04  // 1, of a speed by a map: flow 9 %, pressure ratio 3 %, the map's reading and the wheel's kind
	exducerSpread = 0.075 // 1, of one by the wheel: ψ₀ 13 %, φ₀ 12 %, flow 9 %
	inducerSpread = 0.085 // 1, of one by its inlet alone
	inducerShare  = 0.745 // 1, inlet over outlet diameter; 0.70 to 0.79 (common practice, no source)
	inletHeat     = 8.0   // K, by which the air at the compressor is warmer than outside; common practice, no source
	inletLoss     = 0.02  // 1, of the barometer's pressure before the compressor at full flow
)

// newRotor is the rotor of a car in air: its wheel suits the highest boost that the sheet
// allows at the rev limit. chart is its map, nil unknown.
func newRotor(m *fitcar.Model, air *sim.Air, chart *turbomap.Compressor) rotor {
	sheet := m.Sheet
	most := sheet.Limits.MaxBoost
	if most <= 0 {
		for k := range m.Passes {
			if t := m.Passes[k].Obs.Target; len(t) > 0 {
				most = max(most, modelReach*(slices.Max(t)+air.Pressure)-air.Pressure)
			}
		}
	}
	speed := sheet.RevLimit
	if speed <= 0 {
		speed = sim.RefSpeed
	}
	full := sim.Head(air.Pressure, air.Pressure+most)
	charge := m.Mean.Car.Engine.LateCharge(air.Temperature, full)
	r := rotor{flow: sim.Flow(speed, air.Pressure+most, charge), work: sim.Head(air.Pressure, pathLoss*(air.Pressure+most))}
	r.temperature, r.pressure, r.each = air.Temperature+inletHeat, air.Pressure, filled(sheet, 1)/chargers(sheet)
	if !(r.each > 0) {
		return r
	}
	in, out := sheet.Inducer/2, sheet.Exducer/2
	switch {
	case chart != nil:
		r.chart, r.spread = chart, chartSpread
	case in > 0 && out > 0 && in >= out: // exchanged, which the sheet's notes tell
	case out > 0:
		r.radius, r.spread = out, exducerSpread
	case in > 0:
		r.radius, r.spread = in/inducerShare, inducerSpread
	}
	return r
}

// speed is the rotor's, rad/s, or 1 where it was bought for if neither map nor wheel is known, at
// a head in the manifold, 1, and a flow, 1 of the reference.
func (r rotor) speed(head, flow float64) float64 {
	if head <= 0 || r.work <= 0 || r.flow <= 0 {
		return 0
	}
	q := flow / r.flow
	q *= q
	work := (1+head)*math.Pow(1+(pathLoss-1)*q, 1/3.5) - 1
	inlet := r.pressure * (1 - inletLoss*q)
	switch {
	case r.chart != nil:
		ref := r.chart.Reference
		return charted(r.chart, ref.Flow(flow*r.each, r.temperature, inlet), math.Pow(1+work, 3.5)) * math.Sqrt(r.temperature/ref.Temperature)
	case r.radius > 0:
		through := flow * r.each * airGas * r.temperature / (inlet * math.Pi * r.radius * r.radius * fullFlow)
		return math.Sqrt(ellipse(through*through, airHeat*r.temperature*work/fullHead)) / r.radius
	}
	return math.Sqrt(ellipse(flowShare*q, math.Sqrt(1-flowShare)*work/r.work))
}

// ellipse is U² of U⁴ − f·U² − h² = 0.
func ellipse(f, h float64) float64 { return (f + math.Sqrt(f*f+4*h*h)) / 2 }

// charted is the corrected speed, rad/s, of a corrected flow, kg/s, and a pressure ratio, 1, by a
// map: beyond its highest line and its choke by similarity, flow with speed and head with its square.
func charted(c *turbomap.Compressor, flow, ratio float64) float64 {
	head := math.Pow(ratio, 1/3.5) - 1
	at := func(k float64) (speed float64, beyond bool) {
		p := c.Locate(flow/k, math.Pow(1+head/(k*k), 3.5))
		top := c.Speeds[len(c.Speeds)-1]
		return p.Speed * k, p.Region == turbomap.TooFast || p.Speed >= top && p.Region != turbomap.Inside
	}
	speed, beyond := at(1)
	if !beyond {
		return speed
	}
	low, high := 1.0, 1.1
	for _, beyond = at(high); beyond && high < 4; _, beyond = at(high) {
		low, high = high, 1.1*high
	}
	for range 25 {
		if mid := (low + high) / 2; beyondAt(at, mid) {
			low = mid
		} else {
			high = mid
		}
	}
	speed, _ = at(high)
	return speed
}

func beyondAt(at func(float64) (float64, bool), k float64) bool { _, b := at(k); return b }

// spiked is the speed in a gear with over, Pa, added to its highest pressure: a rotor turns as
// fast as the peak wants, not as what lasts.
func (r rotor) spiked(barometer float64, g *sim.Gear, over float64) float64 {
	return r.speed(overHead(barometer, g, over), g.MaxFlow)
}
