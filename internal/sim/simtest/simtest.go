// Package simtest holds passes whose answers are known in closed form, and an
// invented car for benches.
package simtest

import (
	"math"

	"traplight/internal/sim"
)

// Bare is a car without wheels, rolling resistance or losses, of mass m, kg, and
// drag area such that the drag is k·v², k in N/(m/s)², whose engine gives
// torque, N·m, by law of speed, rad/s, through one gear of ratio 1 and a wheel of
// radius 1 m. Run it with Ideal.Grip.
func Bare(m, k float64, law func(speed float64) float64) *sim.Car {
	return &sim.Car{Mass: m, DragArea: 2 * k, DrivenShare: 1, Ratios: []float64{1}, Efficiency: 1, Radius: 1,
		Tyre:   sim.Tyre{Peak: 1, PeakSlip: 0.1, Shape: 1.65, RefLoad: 1},
		Engine: sim.Engine{Law: law}, Boost: sim.Boost{NoCharger: true}}
}

// Still is air of density 1 kg/m³ without wind.
func Still() sim.Air { return sim.Air{Density: 1, Temperature: 288.15, Pressure: 101325} }

// Invented is a front-driven car with one large turbo and a five-speed box. It
// exists nowhere; its figures are ours.
func Invented() *sim.Car {
	c := &sim.Car{
		Mass: 1250, DragArea: 0.68, Rolling: 0.013, DrivenShare: 0.65, Transfer: -0.165,
		EngineInertia: 0.25, DrivenInertia: 2.5, UndrivenInertia: 2.2,
		Ratios: []float64{6.9, 5.3, 4.2, 3.5, 2.95}, Efficiency: 0.94, Radius: 0.325, RevLimit: 850, Dump: 0.6,
		Clutch: sim.Clutch{Capacity: 1600, Close: 0.06, Shaft: 18e3},
		Tyre:   sim.Tyre{Peak: 1.6, PeakSlip: 0.12, Shape: 1.65, LoadSens: 0.05, RefLoad: 7500},
		Engine: sim.Engine{Speed0: 100, SpeedStep: 100,
			Gain:       []float64{2.0e-3, 2.3e-3, 2.5e-3, 2.65e-3, 2.75e-3, 2.8e-3, 2.72e-3, 2.55e-3, 2.3e-3},
			Loss:       []float64{25, 28, 32, 37, 43, 50, 57, 65, 74},
			ChargeBase: 10, ChargeRise: 0.35},
		Boost: sim.Boost{Rate: 3.8, Work: 2.1, Swallow: 1.9, FlowLoss: -0.4, Friction: 0.015, Decay: 4, Lifted: true,
			ShiftHeat: 0.3, Gate: 6.5, GateLag: 15, Over: 8e3, OverTime: 0.6},
		Nitrous: sim.Nitrous{Power: 60e3, Feed: 150e3, Below: 10e3},
	}
	return c
}

// InventedPass is a pass of Invented over half a mile.
func InventedPass() *sim.Pass {
	rpm := math.Pi / 30
	return &sim.Pass{
		Start:  sim.Start{Time: 0.9, X: 4, V: 7, Head: 0.08, Gear: 1},
		Air:    sim.Air{Density: 1.2, Temperature: 292, Pressure: 101e3, Headwind: 0.5},
		Length: 804.672, Window: 20.1168,
		Target:     []float64{60e3, 105e3, 165e3, 235e3, 235e3},
		ShiftSpeed: []float64{7600 * rpm, 7700 * rpm, 7800 * rpm, 7800 * rpm},
		ShiftTime:  []float64{0.31, 0.3, 0.3, 0.33},
	}
}

// Road is an ordinary rear-driven car without a turbo, of mass m, kg, with its driver,
// and peak crank power p, W, at 5500 rpm; torque as a parabola over engine speed.
// Drag, tyres and gears are usual ones; it exists nowhere.
func Road(m, p float64) *sim.Car {
	const peak = 5500 * math.Pi / 30 // rad/s
	law := func(w float64) float64 {
		u := w / peak
		// 0.87 of the torque's height at a stroll, its top at 0.55, power's top at 1
		return p / peak * max(0, 0.6+1.6*u-1.2*u*u)
	}
	return &sim.Car{Mass: m, DragArea: 0.72, Rolling: 0.014, DrivenShare: 0.5, Transfer: 0.2,
		EngineInertia: 0.2, DrivenInertia: 2, UndrivenInertia: 2, Ratios: []float64{11.5, 7.4, 5.2, 3.8, 3.0}, Efficiency: 0.85,
		Radius: 0.31, RevLimit: 640, Dump: 0.5,
		Clutch: sim.Clutch{Capacity: 1.4 * 1.15 * p / peak, Close: 0.1, Shaft: 10e3},
		Tyre:   sim.Tyre{Peak: 1.15, PeakSlip: 0.12, Shape: 1.45, LoadSens: 0.04, RefLoad: 0.5 * m * 9.80665},
		Engine: sim.Engine{Law: law}, Boost: sim.Boost{NoCharger: true}}
}

// RoadPass is a pass of Road over the quarter mile with a hand's shifts.
func RoadPass() *sim.Pass {
	const w = 5700 * math.Pi / 30 // rad/s
	return &sim.Pass{Air: sim.Air{Density: 1.18, Temperature: 295, Pressure: 100e3}, Length: 402.336, Window: 20.1168,
		ShiftSpeed: []float64{w, w, w, w}, ShiftTime: []float64{0.45}, GuardSlip: 0.15}
}
