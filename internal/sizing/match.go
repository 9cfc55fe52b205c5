package sizing

import (
	"fmt"
	"math"

	"traplight/internal/physics/compressor"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
)

// match places the engine's needs on the compressor map, or says what to look for.
func (st *study) match() {
	if st.r.Engine.Ratio == nil {
		return
	}
	ref := compressor.ReferenceJ1826
	out := &Compressor{Turbos: st.turbos(), Points: []MapPoint{}, Basis: Basis{
		Method: "corrected flow and pressure ratio of one compressor; between the lines of the map by monotone cubics",
		Source: "definition of corrected flow (SAE J1826 reference unless the map has its own)",
	}}
	st.r.Compressor = out
	if m := st.q.Map; m != nil {
		ref = m.Reference
		out.Map = m.Describe()
	} else {
		st.missing("No match of the compressor: it takes its digitised map (--map, or on the page). What to look for on a map is told.")
	}
	out.Reference = [2]float64{ref.Temperature, ref.Pressure}
	out.Points = append(out.Points, st.mapPoint("at peak power", ref, st.atSpeed(func(i int) float64 { return 1 })))
	if lowest, ok := st.afterShift(); ok {
		out.Points = append(out.Points, st.mapPoint("just after the shift, boost back", ref, st.atSpeed(func(i int) float64 {
			return math.Min(1, lowest[i]/st.breaths[i].speed)
		})))
	}
	if limit := st.q.Sheet.Limits.MaxTurboSpeed; limit > 0 && st.q.Map != nil {
		o := Over{Limit: "max_turbo_rpm", Value: limit, Dim: quantity.DimRotation}
		n := 0
		for i := range st.n {
			b := &st.breaths[i]
			if math.IsNaN(b.ratio) {
				continue
			}
			p := st.q.Map.Locate(ref.Flow(b.air/float64(out.Turbos), b.inlet, b.inletPressure), b.ratio)
			n++
			if p.Region == turbomap.TooFast || p.Speed*math.Sqrt(b.inlet/ref.Temperature) > limit {
				o.Chance++
			}
		}
		o.Chance /= float64(max(1, n))
		out.SpeedOver = &o
	}
}

// atSpeed are the breaths at a share of the engine speed of peak power, 1, with the same
// manifold pressure: air goes with engine speed.
func (st *study) atSpeed(k func(i int) float64) []breath {
	out := make([]breath, st.n)
	for i := range out {
		out[i] = st.breaths[i]
		out[i].air *= k(i)
		out[i].speed *= k(i)
	}
	return out
}

// afterShift is the lowest engine speed, rad/s, after a shift into a gear of full torque;
// ok is false when there is none.
func (st *study) afterShift() ([]float64, bool) {
	out := nans(st.n)
	some := false
	for i := range out {
		c := &st.fleet.cars[i]
		for g, run := range st.runs[i].gears {
			if g > 0 && c.share[g] > 0.97 && run.begin > 0 && !(run.begin > out[i]) {
				out[i], some = run.begin, true
			}
		}
	}
	return out, some
}

func (st *study) mapPoint(name string, ref compressor.Reference, at []breath) MapPoint {
	p := MapPoint{Name: name}
	flow, ratio := nans(st.n), nans(st.n)
	speed, eff, surge, choke := nans(st.n), nans(st.n), nans(st.n), nans(st.n)
	count := map[turbomap.Region]int{}
	n := 0
	for i := range at {
		b := &at[i]
		if math.IsNaN(b.ratio) || math.IsNaN(b.air) {
			continue
		}
		flow[i], ratio[i] = ref.Flow(b.air/float64(st.turbos()), b.inlet, b.inletPressure), b.ratio
		if st.q.Map == nil {
			continue
		}
		place := st.q.Map.Locate(flow[i], ratio[i])
		n++
		count[place.Region]++
		surge[i], choke[i] = place.SurgeMargin, place.ChokeMargin
		if place.Region == turbomap.Inside || place.Region == turbomap.BelowLines {
			speed[i], eff[i] = place.Speed*math.Sqrt(b.inlet/ref.Temperature), place.Efficiency
		}
	}
	p.Flow, p.Ratio = figureOf(quantity.DimMassFlow, flow), figureOf(quantity.DimNumber, ratio)
	if st.q.Map == nil || n == 0 {
		return p
	}
	of := func(r ...turbomap.Region) float64 {
		k := 0
		for _, x := range r {
			k += count[x]
		}
		return float64(k) / float64(n)
	}
	p.Inside, p.Surge, p.Choke, p.TooFast = of(turbomap.Inside, turbomap.BelowLines), of(turbomap.Surge), of(turbomap.Choke), of(turbomap.TooFast)
	p.Speed, p.Efficiency = figureOf(quantity.DimRotation, speed), figureOf(quantity.DimShare, eff)
	p.SurgeMargin, p.ChokeMargin = figureOf(quantity.DimShare, surge), figureOf(quantity.DimShare, choke)
	if p.Speed != nil && p.TooFast > 0.05 {
		p.Speed.AtLeast = true
	}
	return p
}

// verdict of a map point, in words.
func (p *MapPoint) verdict() string {
	switch {
	case p.SurgeMargin == nil:
		return ""
	case p.Surge > 0.5:
		return fmt.Sprintf("left of surge in %.0f %% of the cases", 100*p.Surge)
	case p.Choke > 0.5:
		return fmt.Sprintf("more air than the map passes in %.0f %% of the cases", 100*p.Choke)
	case p.TooFast > 0.5:
		return fmt.Sprintf("above the highest speed line in %.0f %% of the cases", 100*p.TooFast)
	case p.Inside < 0.95:
		return fmt.Sprintf("on the map in %.0f %% of the cases", 100*p.Inside)
	}
	return "on the map"
}
