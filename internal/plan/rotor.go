package plan

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// rotor turns head and flow into the compressor's speed. At one blade speed U the work that a
// wheel does falls with its flow: work over U², ψ, and flow over U and inlet area, φ, lie on an
// ellipse about zero,
//
//	(ψ/ψ₀)² + (φ/φ₀)² = 1    so    U⁴ − F·U² − H² = 0,  F = (flow/φ₀)², H = work/ψ₀,
//
// so that an engine which swallows more with every kilopascal needs more speed than the head
// alone says. The form and ψ₀, φ₀ are those of the open diesel set (Wahlström and Eriksson 2011;
// references/turbo.md), whose seven points at three speeds it meets within 4 % but for one near
// choke. Filter, pipes and cooler take their share of the compressor's pressure with the square
// of the flow.
type rotor struct {
	flow float64 // 1, of the reference, with which the wheel was bought
	work float64 // 1, its head there, losses of filter and cooler included
}

// flowShare is the square of φ/φ₀ with the flow that a wheel was bought for: 0.19 of 0.262.
const flowShare = 0.525

// newRotor is the rotor of a car in air: its wheel suits the highest boost that the sheet
// allows at the rev limit.
func newRotor(m *fitcar.Model, air *sim.Air) rotor {
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
	charge := m.Mean.Car.Engine.ChargeTemperature(air.Temperature, full)
	return rotor{flow: sim.Flow(speed, air.Pressure+most, charge), work: sim.Head(air.Pressure, pathLoss*(air.Pressure+most))}
}

// speed is the rotor's, 1 where it was bought for, at a head in the manifold, 1, and a flow, 1
// of the reference.
func (r rotor) speed(head, flow float64) float64 {
	if head <= 0 || r.work <= 0 || r.flow <= 0 {
		return 0
	}
	q := flow / r.flow
	q *= q
	work := (1+head)*math.Pow(1+(pathLoss-1)*q, 1/3.5) - 1
	f, h := flowShare*q, math.Sqrt(1-flowShare)*work/r.work
	return math.Sqrt((f + math.Sqrt(f*f+4*h*h)) / 2)
}

// spiked is the speed in a gear with over, Pa, added to its highest pressure: a rotor turns as
// fast as the peak wants, not as what lasts.
func (r rotor) spiked(barometer float64, g *sim.Gear, over float64) float64 {
	return r.speed(overHead(barometer, g, over), g.MaxFlow)
}
