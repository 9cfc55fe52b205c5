package reconstruct

import (
	"math"

	"traplight/internal/car"
	"traplight/internal/force"
	"traplight/internal/grip"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// work is everything that fill needs at once.
type work struct {
	p     *pass.Pass
	w     *sweep
	g     *grid
	d     *driveline
	b     *force.Body
	sur   force.Surroundings
	sheet *car.Sheet
	curve grip.Curve
	until float64 // s, end of the pull

	drive, hub, load []float64   // N, N·m, N by sample
	slip, omega      []float64   // 1, rad/s by sample
	beyond           []bool      // by sample: more torque than engine or tyres give
	parts            [][]float64 // change of hub torque, N·m by sample, for one standard deviation of each uncertain figure
}

// fill computes force, slip and the figures by gear.
func (s *signals) fill(p *pass.Pass, w *sweep, g *grid, d *driveline, b *force.Body, sur force.Surroundings, sheet *car.Sheet, res force.Resistance, curve grip.Curve) {
	k := &work{p: p, w: w, g: g, d: d, b: b, sur: sur, sheet: sheet, curve: curve, until: d.untilTime(p, w)}
	k.arrays()
	k.perturb(res)
	k.force()
	k.findBeyond(s)
	k.takeUp()
	k.shifts()
	k.gears()
	k.power()
	k.noLift()
	p.Notes = append(p.Notes, d.notes...)
}

// arrays fills the values by sample.
func (k *work) arrays() {
	n := k.g.n
	k.drive, k.load, k.slip, k.omega = make([]float64, n), make([]float64, n), nans(n), nans(n)
	k.hub = k.d.hub
	for i := 0; i < n; i++ {
		v, a := k.g.v[i], k.g.a[i]
		k.drive[i] = k.b.TyreForce(k.sur, v, a)
		k.load[i] = k.b.DrivenLoad(k.sur, v, a)
		k.omega[i] = k.d.omega(k.g, i)
		if v > 3 && !math.IsNaN(k.omega[i]) {
			r := k.curve.Radius.Value * (1 + k.curve.Growth.Value*v*v)
			k.slip[i] = k.omega[i]*r/v - 1
		}
	}
}

// perturb works out what each uncertain figure does to hub torque.
func (k *work) perturb(res force.Resistance) {
	add := func(b force.Body, s force.Surroundings) {
		out := make([]float64, k.g.n)
		for i := range out {
			v, a := k.g.v[i], k.g.a[i]
			dw := a / k.b.RadiusAt(v)
			out[i] = b.HubTorque(s, v, a, dw) - k.b.HubTorque(k.sur, v, a, dw)
		}
		k.parts = append(k.parts, out)
	}
	b := *k.b
	b.Mass += k.sheet.Mass.SD
	add(b, k.sur)
	b = *k.b
	rsd := k.curve.Radius.SD
	if k.d.hasWheel && !k.d.scaled {
		rsd = k.sheet.TyreRadius.SD
	}
	b.Radius += rsd
	add(b, k.sur)
	b = *k.b
	b.JDriven += k.sheet.DrivenInertia.SD
	add(b, k.sur)
	b = *k.b
	b.JUndriven += k.sheet.UndrivenInertia.SD
	add(b, k.sur)
	root := res.Root()
	for c := 0; c < 4; c++ {
		b, s := *k.b, k.sur
		b.DragArea += root[0][c]
		b.Rolling += root[1][c]
		s.Headwind += root[2][c]
		s.Grade += root[3][c]
		add(b, s)
	}
	if k.p.Air != nil {
		s := k.sur
		s.Density += k.p.Air.Density.SD
		add(*k.b, s)
	}
	s := k.sur
	s.Headwind += gustSD // a gust that lasts a gear
	add(*k.b, s)
	share := make([]float64, k.g.n)
	for i := range share {
		share[i] = tyreLossSD * k.hub[i]
	}
	k.parts = append(k.parts, share)
}

// tyreLossSD is the share of hub torque that a driven tyre may turn into heat beside
// slip and free rolling, 1 (loaded tyres lose up to a few per cent of what they
// transmit; common practice, no source).
const tyreLossSD = 0.007

const gustSD = 0.4 // m/s, wander of the wind's mean over some seconds on an open airfield (common practice, no source)

// partVar is the variance of the mean of hub torque over marked samples from the uncertain figures, (N·m)².
func (k *work) partVar(use []bool) float64 {
	sum := 0.0
	for _, part := range k.parts {
		m, n := 0.0, 0
		for i, x := range part {
			if use[i] {
				m += x
				n++
			}
		}
		if n > 0 {
			sum += sq(m / float64(n))
		}
	}
	return sum
}

func (k *work) force() {
	f := &pass.Force{TyreForce: k.drive, HubTorque: k.hub, WheelSpeed: k.omega, Slip: k.slip, DrivenLoad: k.load,
		EngineSpeed: k.g.engine, Radius: k.b.Radius, Growth: k.b.Growth, FullThrottle: k.d.full}
	f.HubSD = make([]float64, k.g.n)
	f.Gear = make([]int, k.g.n)
	for i := range f.HubSD {
		sum := 0.0
		for _, part := range k.parts {
			sum += part[i] * part[i]
		}
		if i < len(k.p.Motion.ASD) {
			sum += sq(k.b.Mass * k.b.Radius * k.p.Motion.ASD[i] * 0.6) // 50 ms mean
		}
		f.HubSD[i] = math.Sqrt(sum)
		f.Gear[i] = k.d.gearAt(k.g.at(i))
	}
	k.p.Force = f
	k.tyre()
}

// tyre keeps the fitted curve and the points it was fitted to.
func (k *work) tyre() {
	if !k.curve.OK {
		return
	}
	out := &pass.Grip{PeakSlip: k.curve.PeakSlip}
	used := k.used()
	for i := 0; i+5 <= k.g.n; i += 5 {
		if !k.d.full[i] || !k.d.full[i+4] || math.IsNaN(k.slip[i]) || math.IsNaN(k.slip[i+4]) {
			continue
		}
		s, u := 0.0, 0.0
		for j := i; j < i+5; j++ {
			s += k.slip[j] / 5
			u += used[j] / 5
		}
		if !math.IsNaN(s) {
			out.Slip = append(out.Slip, s)
			out.Used = append(out.Used, u)
			out.ReachedPeak = out.ReachedPeak || s > k.curve.PeakSlip.Value
		}
	}
	// one curve for the picture: at the mean of the gears' peaks
	sum, sd, n := 0.0, 0.0, 0.0
	for _, sp := range k.d.spans {
		if sp.Gear <= len(k.curve.Peak) {
			sum += k.curve.Peak[sp.Gear-1].Value
			sd += k.curve.Peak[sp.Gear-1].SD
			n++
		}
	}
	if n == 0 {
		return
	}
	out.PeakGrip = quantity.Estimate{Value: sum / n, SD: sd / n}
	_, top := k.curve.Form.Top(k.curve.Mean)
	for s := 0.0; s < 0.5; s += 0.005 {
		out.CurveSlip = append(out.CurveSlip, s)
		out.CurveGrip = append(out.CurveGrip, sum/n*k.curve.Form.At(s, k.curve.Mean, 1/top))
	}
	k.p.Grip = out
}
