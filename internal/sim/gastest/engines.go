package gastest

import (
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/compressor/compressortest"
)

// Big is an invented 3.5-litre engine on an ethanol blend with one big turbocharger. Its
// wheel sizes, areas, volumes and inertia are usual ones for 1000 hp (common practice, no
// source); none was chosen for a recovery time.
func Big() *Path {
	return &Path{
		Engine: Engine{Displacement: 3.5e-3, Volumetric: 1.0, Best: 680, Width: 450, Stoich: 9.8, LHV: 29.2e6, Latent: 0.84e6, Evaporated: 0.3,
			Lambda: 0.8, Late: 0.07, Indicated: 0.40, Friction: 90e3, FrictionRise: 150, ToExhaust: 0.36},
		Turbo: Turbo{Inertia: 4.5e-4, Compressor: Wheel(0.044), Area: 1.45e-3, Wheel: 0.082, Turbine: 0.70, BladeRatio: 0.62, Drag: 2.5e-5},
		Pipes: 0.012, Plenum: 0.005, Manifold: 0.003, Throttle: 6.0e-3, Bypass: 1.0e-3, Cooler: 0.75,
		Gate:    Gate{Area: 1.5e-3, Lag: 0.06, Gain: 1.2e-5, Integral: 3e-5},
		Nitrous: 0.043, NitrousRetard: 0.07, // 4° for 75 kW (common practice, no source)
		// as much as leaves the 75 kW at the crank that practice calls this flow
		NitrousAfter: 0.45,
		Ambient:      293, Baro: 101e3,
	}
}

// Single is Big with a turbocharger a size up in every length: flows with the square, the
// rotor's inertia with the fifth power. It was chosen for the recovery time that practice
// has of a big single without nitrous; what nitrous brings it was not.
func Single() *Path {
	const size = 1.25
	p := Big()
	p.Turbo.Compressor = Wheel(0.044 * size)
	p.Turbo.Inertia *= math.Pow(size, 5)
	p.Turbo.Wheel *= size
	p.Turbo.Area *= size * size
	return p
}

// Wheel is an invented compressor of wheel radius r, m: head coefficient 1.45 without
// flow, flow coefficient 0.3 at its end, efficiency up to 0.78; flows in proportion to
// the wheel's area.
func Wheel(r float64) compressortest.Ellipse {
	k := r * r / (0.044 * 0.044)
	return compressortest.Ellipse{Radius: r, HeadPol: [3]float64{0, 0, 0.476}, FlowPol: [3]float64{0, 0, 11},
		Best: 0.78, BestAt: [2]float64{0.62 * k, 1.34}, Hill: [2][2]float64{{0.9 / k / k, -0.25 / k}, {-0.25 / k, 0.2}}, Bend: 0.5,
		Gamma: compressor.GammaAir, Gas: compressor.GasAir, Cp: compressor.CpAir}
}

// Recovery runs a shift and the pull after it: full boost, throttle shut for 0.3 s while
// the engine falls to from, rad/s, then full throttle with the engine gaining rise,
// rad/s². It returns the time, s, from low to high, both Pa gauge, and the lowest
// boost, Pa gauge; NaN when it is not reached in 4 s.
func Recovery(p *Path, target, from, rise, low, high float64, nitrous bool) (time, lowest float64, pts []Point, err error) {
	full := Input{Speed: from * 1.22, Throttle: 1, Target: p.Baro + target}
	at, err := p.Settle(p.Still(3000), full)
	if err != nil {
		return math.NaN(), 0, nil, err
	}
	const shut = 0.3
	input := func(t float64) Input {
		in := full
		switch {
		case t < shut:
			u := t / shut
			in.Speed, in.Throttle, in.Cut = full.Speed+(from-full.Speed)*u, max(0, 1-t/0.05), t > 0.05
		default:
			in.Speed = from + rise*(t-shut)
			in.Throttle = min(1, (t-shut)/0.05)
			in.Nitrous = nitrous && in.Throttle == 1 // its switch sits at the open throttle
		}
		return in
	}
	pts, err = p.Run(at.State, input, 4+shut, 0.002)
	if err != nil {
		return math.NaN(), 0, nil, err
	}
	lowest, begin, end := math.Inf(1), math.NaN(), math.NaN()
	for _, q := range pts {
		g := q.Plenum - p.Baro
		lowest = min(lowest, g)
		if q.T < shut {
			continue
		}
		if g < low {
			begin, end = math.NaN(), math.NaN()
		} else if begin != begin {
			begin = q.T
		}
		if end != end && g >= high {
			end = q.T
		}
	}
	return end - begin, lowest, pts, nil
}
