package plan

import (
	"math"

	"traplight/internal/sim"
)

// backOf is the back-pressure ratio, 1, of the model in a gear: the turbine takes as
// much of the exhaust as it needs to drive the compressor, by the power balance of
// package sim, and its expansion ratio follows from that flow by the ellipse law; with
// the wastegate shut it takes all. What the turbine's outlet and the pipes add is a
// factor, which the logs give (see meter).
func backOf(b *sim.Boost, g *sim.Gear) float64 {
	m, h := g.MaxFlow, g.MaxHead
	n := max(g.Speed0, g.Speed1) / sim.RefSpeed
	need := m*h*(1+b.FlowLoss*(n-1)) + b.Friction*h*math.Sqrt(max(h, 0))
	expansion := func(flow float64) float64 { return math.Hypot(1, b.Swallow*flow) }
	flow := m
	// the turbine's work rises ever faster with its flow: Newton's steps come down to the root
	for range 30 {
		q := b.Swallow * flow
		rest := math.Exp(-0.124 * math.Log1p(q*q))
		over := flow*b.Work*(1-rest) - need
		if over <= 1e-9*need {
			break // from the first, where even all of the exhaust is too little
		}
		flow = max(0, flow-over/(b.Work*(1-rest+0.248*q*q*rest/(1+q*q))))
	}
	return expansion(flow) / math.Pow(1+h, 3.5)
}
