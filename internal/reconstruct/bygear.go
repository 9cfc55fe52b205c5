package reconstruct

import (
	"math"
	"slices"

	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// gears fills the spans.
func (k *work) gears() {
	d := k.d
	for i, sp := range d.spans {
		span := pass.GearSpan{Gear: sp.Gear, Start: sp.From, End: math.Min(sp.To, k.until)}
		if i == 0 {
			span.Start = k.w.launch
		}
		for j := range d.shifts {
			if d.shifts[j].to == sp.Gear && math.Abs(d.shifts[j].right-sp.From) < 0.02 {
				span.Start = d.shifts[j].end()
			}
			if d.shifts[j].from == sp.Gear && math.Abs(d.shifts[j].left-sp.To) < 0.02 {
				span.End = math.Min(d.shifts[j].start(), k.until)
			}
		}
		if span.End <= span.Start {
			continue
		}
		use := make([]bool, k.g.n)
		n := 0
		open := false
		for j := k.g.index(span.Start); j <= k.g.index(span.End); j++ {
			t := k.g.at(j)
			if t < span.Start || t > span.End {
				continue
			}
			if d.full[j] {
				use[j] = true
				n++
				if !open {
					span.FullThrottle = append(span.FullThrottle, pass.Window{From: t, To: t})
					open = true
				}
				span.FullThrottle[len(span.FullThrottle)-1].To = t
			} else {
				open = false
			}
		}
		if n >= 5 {
			seen, hidden := k.seen(use)
			k.spanTorque(&span, use, seen)
			if !k.d.kept || i > 0 && hidden == 0 {
				k.spanSlip(&span, use)
				k.ceiling(&span, use, seen)
				k.hideSlip(&span, use)
			}
		}
		k.p.Gears = append(k.p.Gears, span)
	}
}

// seen leaves out where driven wheels alone would tell the car's speed, and spin, which hidden
// counts, and what is beyond the engine.
func (k *work) seen(use []bool) (out []bool, hidden int) {
	out = slices.Clone(use)
	for i, u := range use {
		switch {
		case u && k.d.blind(k.g.at(i)):
			out[i] = false
			hidden++
		case k.beyond[i]:
			out[i] = false
		}
	}
	return out, hidden
}

// spanTorque fills torque by gear: means over use, peaks over seen.
func (k *work) spanTorque(s *pass.GearSpan, use, seen []bool) {
	mean, _ := meanOf(k.hub, use)
	va := k.partVar(use)
	// the motion's own error: of the change of speed over the windows
	dv, total := 0.0, 0.0
	for _, f := range s.FullThrottle {
		if f.To > f.From {
			dv += sq(k.w.res.SpeedChangeSD(f.From, f.To))
			total += f.To - f.From
		}
	}
	if total > 0 {
		va += sq(k.b.Mass * k.b.Radius * math.Sqrt(dv) / total)
	}
	sd := math.Sqrt(va)
	s.MeanHubTorque = estimate(mean, sd)
	ratio := k.d.ratios[s.Gear-1]
	s.MeanWheelTorque = estimate(mean/ratio, sd/ratio)
	if peak, at := highest(k.hub, seen, 10); at >= 0 {
		psd := math.Hypot(sd*peak/math.Max(mean, 1), k.b.Mass*k.b.Radius*k.asd(at+5)*0.5)
		s.PeakHubTorque = estimate(peak, psd)
		s.PeakWheelTorque = estimate(peak/ratio, psd/ratio)
		eff := 1 - k.sheet.LossShare.Value
		lossSD := k.sheet.LossShare.SD / eff
		gb := peak / ratio / eff
		s.PeakGearboxTorque = estimate(gb, gb*math.Hypot(psd/peak, lossSD))
		if de, n := meanOf(k.g.dEngine, use); n > 5 && !k.slipping(s) {
			spin := k.sheet.EngineInertia.Value * de
			ct := mean/ratio/eff + spin
			s.MeanCrankTorque = estimate(ct, math.Sqrt(sq(mean/ratio/eff*math.Hypot(sd/mean, lossSD))+sq(k.sheet.EngineInertia.SD*de)))
		}
	}
	if m, _ := meanOf(k.used(), use); !math.IsNaN(m) {
		s.UsedGripMean = &m
	}
	if m, at := highest(k.used(), seen, 5); at >= 0 {
		s.UsedGripMax = &m
	}
}

// slipping reports whether the clutch was not closed for most of the span.
func (k *work) slipping(s *pass.GearSpan) bool {
	for _, sp := range k.d.spans {
		if sp.Gear == s.Gear && sp.To > s.Start && sp.From < s.End {
			return sp.To-sp.From < 0.5*(s.End-s.Start)
		}
	}
	return true
}

func (k *work) asd(i int) float64 {
	i = max(0, min(len(k.p.Motion.ASD)-1, i))
	return k.p.Motion.ASD[i]
}

// used is drive force over driven-axle load by sample.
func (k *work) used() []float64 {
	out := make([]float64, k.g.n)
	for i := range out {
		out[i] = k.drive[i] / math.Max(k.load[i], 200)
	}
	return out
}

const edgeOf = 10 // samples, 0.1 s: how well the first moment is known

// spanSlip fills slip by gear.
func (k *work) spanSlip(s *pass.GearSpan, use []bool) {
	mean, n := meanOf(k.slip, use)
	if n < 5 {
		return
	}
	calib := func(v float64) float64 {
		r := k.curve.Radius
		return math.Hypot(r.SD/r.Value, k.curve.Growth.SD*v*v)
	}
	v, _ := meanOf(k.g.v, use)
	s.MeanSlip = estimate(mean, math.Hypot(calib(v)*(1+mean), 0.001*(1+mean)))
	if peak, at := centred(k.slip, use, 5); at >= 0 {
		vv := k.g.v[at]
		spinSD := 0.04 // of a spin that changes within the sensor's own delay
		if !k.d.hasWheel {
			spinSD = 0.12 // the engine tells the wheels only while the clutch holds
		}
		// a spin that falls from the first moment at which an engine tells it was more a moment before
		edge := 0.0
		if j := at + edgeOf; !k.d.hasWheel && j < len(k.slip) && (at < edgeOf || !use[at-edgeOf] || math.IsNaN(k.slip[at-edgeOf])) && !math.IsNaN(k.slip[j]) {
			edge = math.Max(0, peak-k.slip[j])
		}
		s.PeakSlip = estimate(peak, math.Sqrt(sq(calib(vv)*(1+peak))+sq(0.03/vv*(1+peak))+sq(0.002*(1+peak))+sq(spinSD*peak)+sq(edge)))
	}
}

// ceiling fills the torque that the tyres would carry in this gear.
func (k *work) ceiling(s *pass.GearSpan, use, seen []bool) {
	if !k.curve.OK || s.MeanSlip == nil || s.Gear > len(k.curve.Peak) {
		return
	}
	d := k.curve.Peak[s.Gear-1]
	at := func(mu float64) float64 {
		sum, n, left := 0.0, 0, 0
		for i, u := range use {
			if !u {
				continue
			}
			if left--; left < 0 { // every tenth: all of it moves slowly
				left = 9
				over, _ := k.curve.Over(s.Gear, k.g.v[i])
				sum += k.b.CeilingTorque(k.sur, mu*over, k.g.v[i])
				n++
			}
		}
		return sum / float64(n)
	}
	past, near, full := k.pastPeak(s.Gear, use)
	torqueRel := s.MeanHubTorque.SD / math.Max(s.MeanHubTorque.Value, 1)
	value := at(d.Value)
	sd := math.Sqrt(sq(value-at(d.Value-d.SD)) + sq(value)*(sq(torqueRel)+sq(0.008)+sq(k.pullRel(near))+sq(stripSD)*(1-lasting(near)/full)))
	ratio := k.d.ratios[s.Gear-1]
	if past >= 0.2 && !k.d.kept { // speed made of these very wheels does not show how far they spin
		value *= 1 + leastGrip(past/full)
		s.CeilingHubTorque = estimate(value, sd)
		s.CeilingWheelTorque = estimate(value/ratio, sd/ratio)
		return
	}
	s.CeilingEstimate = estimate(value, sd)
	top, i := highest(k.used(), seen, 20)
	if i < 0 {
		return
	}
	// grip varies along the gear: the best 0.2 s bound the best place, not the mean; two per cent
	// and one standard deviation off keep the bound a bound
	mu := math.Min(top*(1-torqueRel)*0.98, d.Value-d.SD)
	bound := at(mu)
	s.CeilingHubTorque = &quantity.Estimate{Value: bound, SD: sd, LowerBound: true}
	s.CeilingWheelTorque = &quantity.Estimate{Value: bound / ratio, SD: sd / ratio, LowerBound: true}
}
