package plan

import (
	"math"
	"testing"

	"traplight/internal/num/xrand"
	"traplight/internal/sim"
)

// lagged is an invented pass whose gas follows the law of heat with terms theta, read by
// a sensor of lag tau, s, with noise, K. In each gear the state stays, so that the
// reading has the closed form of a first-order lag: gas − (gas − before)·exp(−t/τ).
func lagged(theta [heatTerms]float64, tau, noise float64, seed uint64) *heatPass {
	const step, gear = 0.02, 1.6 // s
	r := xrand.Stream(seed, "exhaust")
	p := &heatPass{step: step}
	before := 700.0
	for g := range 5 {
		st := heatState{pressure: 200e3 + 25e3*float64(g), speed: 600, charge: 320 + 4*float64(g), gear: g}
		row := st.row()
		gas := 0.0
		for i := range row {
			gas += theta[i] * row[i]
		}
		read := before
		for i := 1; float64(i)*step <= gear; i++ {
			read = gas - (gas-before)*math.Exp(-float64(i)*step/tau)
			from := math.NaN()
			if g == 0 && i == 1 {
				from = before
			}
			p.row, p.from = append(p.row, row), append(p.from, from)
			if n := len(p.row) - 1; n%5 == 4 {
				p.at, p.read = append(p.at, n), append(p.read, read+noise*r.NormFloat64())
			}
		}
		before = read
	}
	p.reach()
	return p
}

// The gas is found behind a sensor that lags, though no reading has reached it.
func TestHeatBehindLag(t *testing.T) {
	theta := [heatTerms]float64{1180, 160, 0, 1.5}
	for _, tau := range []float64{0.15, 0.5, 1.2} {
		h := newHeat([]*heatPass{lagged(theta, tau, 2, 1), lagged(theta, tau, 2, 2)})
		if !h.known {
			t.Fatal("not fitted")
		}
		if math.Abs(math.Log(h.tau/tau)) > 0.3 {
			t.Errorf("a lag of %.2f s was found as %.2f", tau, h.tau)
		}
		st := heatState{pressure: 300e3, speed: 600, charge: 336, gear: 4}
		want := 1180 + 160*math.Log(300.0/250) + 1.5*(336-heatCharge)
		if got, sd := h.at(&st); math.Abs(got-want) > 2*sd || sd > 25 {
			t.Errorf("lag %.2f s: gas of %.0f K was found as %.0f ± %.0f", tau, want, got, sd)
		}
	}
}

// The discrete lag of solveHeat is the closed form: at the true lag and without noise
// nothing is left but what the priors pull.
func TestHeatLagClosedForm(t *testing.T) {
	theta := [heatTerms]float64{}
	for i := range theta {
		theta[i], _ = heatBefore(i) // the priors pull nowhere
	}
	_, _, _, sigma, ok := solveHeat([]*heatPass{lagged(theta, 0.7, 0, 1)}, 0.7, heatNoise)
	if !ok || sigma > 1e-6 {
		t.Errorf("%.2g K are left of a first-order lag", sigma)
	}
}

// Further from what was read the gas is less sure.
func TestHeatDoubtGrows(t *testing.T) {
	theta := [heatTerms]float64{1180, 160, 0, 1.5}
	h := newHeat([]*heatPass{lagged(theta, 0.5, 2, 1), lagged(theta, 0.5, 2, 2)})
	before := 0.0
	for _, kpa := range []float64{300, 330, 360, 400} {
		st := heatState{pressure: kpa * 1e3, speed: 600, charge: 336, gear: 4}
		_, sd := h.at(&st)
		if sd <= before {
			t.Errorf("± %.1f K at %.0f kPa, ± %.1f at less", sd, kpa, before)
		}
		before = sd
	}
}

// A law that rises towards lower engine speeds, as an ignition map makes it where it was
// read, is not carried on below: full-load sweeps read cooler gas there (Heywood, Internal
// Combustion Engine Fundamentals, 1988, section 6.4; from memory).
func TestHeatBelowTheSpeedsRead(t *testing.T) {
	h := heat{known: true, theta: [heatTerms]float64{1180, 160, -200, 1.5}, slow: -0.2}
	st := heatState{pressure: 300e3, charge: 336, gear: 4}
	at := func(share float64) (float64, float64) {
		st.speed = (1 + share) * sim.RefSpeed
		return h.at(&st)
	}
	edge, sure := at(-0.2)
	if faster, _ := at(-0.1); math.Abs(edge-faster-20) > 1e-9 {
		t.Errorf("where it was read the law counts: %.2f K a tenth slower, 20 wanted", edge-faster)
	}
	if slow, sd := at(-0.4); math.Abs(slow-edge) > 1e-9 || sd < sure+2 {
		t.Errorf("a fifth below what was read %.1f ± %.1f K, %.1f ± %.1f at its edge", slow, sd, edge, sure)
	}
}
