package fuelling

import (
	"math"
	"slices"

	"traplight/internal/dictionary"
	"traplight/internal/num/stats"
	"traplight/internal/pass"
	"traplight/internal/physics/fuel"
	"traplight/internal/quantity"
)

const (
	leastGear = 0.6 // s at full throttle from which a gear tells the engine's efficiency
	// gearToGear is how far, as a share, indicated efficiency differs between gears of unlike
	// boost, engine speed and ignition at full throttle (common practice, no source).
	gearToGear = 0.045
	// likeLoad is the share of the highest mean power of any gear from which a gear counts.
	likeLoad = 0.8
	// frictionRel is how far an engine's friction is off the law, as a share (common practice,
	// no source): the law was found on engines of 0.8 to 2 litres.
	frictionRel = 0.35
)

// friction is the power, W, that an engine of so many m³ loses at an engine speed, rad/s:
// 0.97 + 0.15·(N/1000) + 0.05·(N/1000)² bar of mean effective pressure, N in 1/min
// (Heywood 1988, eq. 13.6 after Barnes-Moss, from memory).
func friction(displacement, speed float64) float64 {
	n := speed * 30 / math.Pi / 1000
	return 1e5 * (0.97 + 0.15*n + 0.05*n*n) * displacement * speed / (4 * math.Pi)
}

// gearEfficiency is the engine's indicated efficiency over the heat that the air can set
// free, 1, as this pass's gears show it: crank power by motion and friction over fuel and
// mixture, the median over the gears in which it pulls about as hard as at the peak. Friction takes a larger share at less boost, so
// that brake efficiency cannot be carried from gear to gear. Meter, fuel and sensor are those
// of the peak, so that their lasting errors cancel there. byFriction is how it changes with
// friction, as a share of it. nil when no gear tells.
func gearEfficiency(p *pass.Pass, set *dictionary.Set, flow *flow, mix []lambdaSensor, what fuel.Properties, displacement float64) (eta *quantity.Estimate, byFriction float64) {
	engine := set.First(quantity.EngineSpeed)
	if engine == nil || displacement <= 0 {
		return nil, 0
	}
	var list, rel, lost, power []float64
	for i := range p.Gears {
		g := &p.Gears[i]
		c := g.MeanCrankTorque
		if c == nil || c.Value <= 0 {
			continue
		}
		var heat, turned, rubbed, took float64
		for _, w := range g.FullThrottle {
			f, ok := flow.x.Mean(w.From, w.To, flow.x.LongestGap())
			n, okN := engine.Trace.Mean(w.From, w.To, engine.Trace.LongestGap())
			if dt := w.To - w.From; ok && okN && dt > 0 {
				heat, turned, rubbed, took = heat+f*dt, turned+n*dt, rubbed+friction(displacement, n)*dt, took+dt
			}
		}
		lam := usualLambda
		if l, ok := lambdaOver(mix, g.FullThrottle); ok {
			lam = l
		}
		if heat *= what.LHV.Value * min(lam, 1); took < leastGear || heat <= 0 {
			continue
		}
		list = append(list, (c.Value*turned+rubbed)/heat)
		rel = append(rel, c.SD/c.Value)
		power = append(power, c.Value*turned/took)
		lost = append(lost, rubbed/heat)
	}
	if len(list) == 0 {
		return nil, 0
	}
	// The gears at about the load of the peak.
	n, most := 0, slices.Max(power)
	for i, w := range power {
		if w >= likeLoad*most {
			list[n], rel[n], lost[n] = list[i], rel[i], lost[i]
			n++
		}
	}
	list, rel, lost = list[:n], rel[:n], lost[:n]
	e := stats.Median(list)
	return &quantity.Estimate{Value: e, SD: e * hypot(stats.Median(rel), gearToGear)}, stats.Median(lost)
}

// byGears is the power at the crank, W, from heat, W, at a speed, rad/s, by the efficiency of
// the pass's gears; nil when they tell none.
func byGears(p *pass.Pass, set *dictionary.Set, flow *flow, mix []lambdaSensor, what fuel.Properties, displacement, heat float64) *quantity.Estimate {
	eta, lost := gearEfficiency(p, set, flow, mix, what, displacement)
	if eta == nil {
		return nil
	}
	rubs := friction(displacement, p.Power.EngineSpeed)
	power := eta.Value*heat - rubs
	return &quantity.Estimate{Value: power, SD: math.Hypot(eta.SD*heat, frictionRel*(lost*heat-rubs))}
}
