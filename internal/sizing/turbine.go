package sizing

import (
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/nozzle"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
)

// usualBackPressure is the back-pressure ratio, 1, beyond which a housing is usually
// called too small for peak power, where the sheet states no limit. Common practice, no
// source: 1.0 is aimed at, 2 is borne.
const usualBackPressure = 1.5

const gasPower = (compressor.GammaGas - 1) / compressor.GammaGas

// hot is one draw of the turbine's side.
type hot struct {
	flow, temperature float64 // kg/s, K
	outlet            float64 // Pa absolute behind the turbine
	eff               float64 // 1
	shaft             float64 // W, all turbines
}

// through is the flow, kg/s, that must pass the turbines to drive the compressors at an
// expansion ratio, 1.
func (h *hot) through(expansion, eff float64) float64 {
	return h.shaft / (compressor.CpExhaust * h.temperature * eff * (1 - math.Pow(expansion, -gasPower)))
}

// least is the smallest expansion ratio, 1, that drives the compressors, with all exhaust
// through the turbines; +Inf when none does.
func (h *hot) least() float64 {
	u := h.shaft / (h.flow * compressor.CpExhaust * h.temperature * h.eff)
	if u >= 1 {
		return math.Inf(1)
	}
	return math.Pow(1-u, -1/gasPower)
}

// turbine sizes the hot side.
func (st *study) turbine() {
	if st.r.Engine.Shaft == nil {
		return
	}
	m := st.measured()
	t3, t3From := own(m.Exhaust, exhaustTemp(st.fuel.Properties), practice)
	st.assume("exhaust before the turbine", t3, "K", t3From)
	st.assume("efficiency of the turbine with bearings", turbineEf, "", practice)
	st.assume("pressure behind the turbine over ambient", pipeBack, "Pa", practice)
	temp, eff, back := st.draw("exhaust", t3, false), st.draw("turbine", turbineEf, false), st.draw("pipe back", pipeBack, false)
	hots := make([]hot, st.n)
	least, flow := nans(st.n), nans(st.n)
	for i := range hots {
		b := &st.breaths[i]
		hots[i] = hot{b.air + b.fuel, temp[i], b.barometer + math.Max(0, back[i]), math.Min(0.8, math.Max(0.4, eff[i])), b.shaft}
		flow[i] = hots[i].flow
		least[i] = hots[i].least() * hots[i].outlet / b.manifold
	}
	limit := st.q.Sheet.Limits.MaxBackPressureRatio
	out := &Turbine{
		Basis: Basis{
			Method: "the turbine's power equals the compressor's at each back-pressure ratio; what of the exhaust it needs gives its effective area as an orifice, the rest that of the wastegate",
			Source: "Saravanamuttoo, Rogers, Cohen, Gas Turbine Theory, chapter 2; orifice law of Heywood, appendix C",
		},
		Exhaust: figureOf(quantity.DimMassFlow, flow), Least: figureOf(quantity.DimNumber, least),
		Limit: limit, Stated: limit > 0, Steps: []BackPressure{}, Housings: []Housing{},
	}
	if !out.Stated {
		out.Limit = usualBackPressure
	}
	st.r.Turbine = out
	for _, r := range []float64{0.9, 1.0, 1.25, 1.5, 2.0} {
		out.Steps = append(out.Steps, st.backPressure(hots, r))
	}
	if lowest, ok := st.afterShift(); ok {
		out.After = figureOf(quantity.DimRotation, lowest)
	}
	st.asItIs(out, hots)
	for _, h := range st.q.Housings {
		out.Housings = append(out.Housings, st.housing(h, hots, out.Limit))
	}
	if len(st.q.Housings) == 0 {
		st.missing("No housing was judged: that takes digitised swallowing lines (--turbine, or on the page).")
	}
}

func (st *study) backPressure(hots []hot, ratio float64) BackPressure {
	area, gate, rest := nans(st.n), nans(st.n), nans(st.n)
	can, n := 0, 0
	for i := range hots {
		h, b := &hots[i], &st.breaths[i]
		if math.IsNaN(h.shaft) {
			continue
		}
		n++
		p3 := ratio * b.manifold
		expansion := p3 / h.outlet
		if expansion <= 1 {
			continue
		}
		through := h.through(expansion, h.eff)
		if through > h.flow {
			continue
		}
		can++
		each := float64(st.turbos())
		area[i] = nozzle.Area(through, p3, h.outlet, h.temperature, compressor.GammaGas, compressor.GasExhaust) / each
		gate[i] = nozzle.Area(h.flow-through, p3, h.outlet, h.temperature, compressor.GammaGas, compressor.GasExhaust) / each
		rest[i] = 1 - through/h.flow
	}
	p := BackPressure{Ratio: ratio, Possible: float64(can) / float64(max(1, n))}
	if p.Possible > 0.1 {
		p.Area, p.Gate, p.Share = figureOf(quantity.DimNumber, area), figureOf(quantity.DimNumber, gate), figureOf(quantity.DimShare, rest)
	}
	return p
}

// asItIs says where the area that the car's own passes showed would bring the
// back-pressure ratio at the target. That area holds the wastegate as it then stood; the
// gate would have to shut further for more boost, so the ratio is at least this.
func (st *study) asItIs(out *Turbine, hots []hot) {
	m := st.measured()
	if m.TurbineArea == nil {
		return
	}
	a := st.draw("turbine area", *m.TurbineArea, true)
	ratio := nans(st.n)
	for i := range hots {
		h := &hots[i]
		if math.IsNaN(h.flow) {
			continue
		}
		p3 := nozzle.Upstream(h.flow, a[i], h.outlet, h.temperature, compressor.GammaGas, compressor.GasExhaust)
		ratio[i] = p3 / st.breaths[i].manifold
	}
	out.AsItIs, out.Area = figureOf(quantity.DimNumber, ratio), figureOf(quantity.DimNumber, a)
	if out.AsItIs != nil {
		out.AsItIs.AtLeast = true
	}
}

// housing judges one swallowing line.
func (st *study) housing(t *turbomap.Turbine, hots []hot, limit float64) Housing {
	ratio, expansion, gate, threshold := nans(st.n), nans(st.n), nans(st.n), nans(st.n)
	n, enough, over := 0, 0, 0
	out := Housing{Name: t.Name}
	each := float64(st.turbos())
	for i := range hots {
		h, b := hots[i], &st.breaths[i]
		if math.IsNaN(h.shaft) {
			continue
		}
		n++
		eff := func(x float64) float64 {
			if e := t.Efficiency(x); e > 0 {
				return e
			}
			return h.eff
		}
		passes := func(x float64) float64 { return each * t.Flow(x, h.temperature, x*h.outlet) }
		// The expansion ratio at which what the housing passes does the work: both grow with it.
		lo, hi := 1.0001, 20.0
		work := func(x float64) bool { return passes(x) >= h.through(x, eff(x)) }
		if !work(hi) {
			continue
		}
		for range 50 {
			if mid := (lo + hi) / 2; work(mid) {
				hi = mid
			} else {
				lo = mid
			}
		}
		through := passes(hi)
		if through > h.flow {
			// More than the engine gives: with the gate shut the wheel is not driven enough.
			continue
		}
		enough++
		expansion[i], ratio[i] = hi, hi*h.outlet/b.manifold
		gate[i] = 1 - through/h.flow
		out.Beyond = out.Beyond || t.Beyond(hi)
		if ratio[i] > limit {
			over++
		}
		// At lower engine speed the same manifold pressure takes air in proportion; the
		// shaft's work per kilogram stays, so with the gate shut the expansion ratio is the least
		// one, and the housing passes there what the engine gives at this speed.
		hs := h
		hs.eff = eff(h.least())
		if x := hs.least(); !math.IsInf(x, 1) {
			threshold[i] = b.speed * passes(x) / h.flow
		}
	}
	out.Enough, out.OverLimit = float64(enough)/float64(max(1, n)), float64(over)/float64(max(1, n))
	if out.Enough > 0.1 {
		out.Ratio, out.Expansion = figureOf(quantity.DimNumber, ratio), figureOf(quantity.DimNumber, expansion)
		out.Gate, out.Threshold = figureOf(quantity.DimShare, gate), figureOf(quantity.DimRotation, threshold)
		if out.Beyond {
			out.Ratio.AtLeast = true
		}
	}
	return out
}
