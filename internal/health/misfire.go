package health

import (
	"fmt"
	"math"
	"slices"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Fires that fail now and then send their oxygen past the lambda sensor and give no torque:
// the mixture flickers, and torque with it. A sensor that flickers by itself moves no torque,
// nor the other bank's sensor, and a driver, a tyre or a clutch no mixture. So no history is
// needed. On 189 healthy passes of invented cars lambda's flicker stays under 0.0015 and
// torque's under 0.012, in the open logs, faulty ones included, under 0.0024 and 0.0141.
const (
	flickerLambda = 0.008 // 1, least
	flickerTorque = 0.018 // 1, least
	flickerWith   = -0.3  // 1, correlation at most
	flickerClose  = -0.6  // 1, correlation from which flickerFaint of torque tells
	flickerFaint  = 0.01  // 1
	flickerBoth   = 0.8   // 1, correlation of two sensors from which flickerTwo of lambda tells, with half of flickerWith
	flickerTwo    = 0.005 // 1
	flickerRough  = 0.06  // 1, torque's from which half of that correlation tells
	flickerSettle = 0.8   // s in the gear from which it is looked at
	flickerRows   = 12    // least
	flickerLags   = 2     // rows by which a lambda sensor may come late
	flickerSmall  = 0.005
)

// flicker is how restless mixture and torque are together from row to row, over their
// neighbours' mean: standard deviations, 1, their correlation at the lag at which it is most
// negative, that of the mixture's two sensors (0 where one is logged), and when the mixture was
// first seen to leap by as much, or by flickerLambda, s.
type flicker struct {
	lambda, torque, with, both, from float64
}

// flickers measures it at full throttle with the boost steady; ok is false where there is too
// little to go by.
func (f *frame) flickers() (k flicker, ok bool) {
	cs := f.lone(quantity.Lambda)
	if _, seldom := f.seldomTorque(); len(cs) == 0 || f.pass.Force == nil || seldom || !f.roadSpeed() {
		return k, false
	}
	cols := make([][]float64, len(cs))
	for i, c := range cs {
		cols[i] = f.column(c)
	}
	torque := apply(f.n, func(i int) float64 {
		p := f.boost[i] + f.baro
		if !(f.crank[i] > 0) || !(p > 0) {
			return nan()
		}
		return math.Log(f.crank[i] / p)
	})
	mask := f.mask(func(i int) bool {
		return f.full[i] && !f.cut[i] && f.since[i] > flickerSettle && f.t[i] > f.launch+1.5 && !(f.slip[i] > 0.12) && f.boost[i] > 30e3 && f.steady(i)
	})
	r := f.collect(mask, meanOf(cols), nil, torque)
	mix, pull := r.leaps()
	if len(numbers(mix)) < flickerRows {
		return k, false
	}
	k.lambda, k.torque, k.from = unrest(mix), unrest(pull), nan()
	for i, v := range mix {
		if math.Abs(v) > min(flickerLambda, max(flickerTwo, k.lambda)) {
			k.from = r.T[i] - block*cell
			break
		}
	}
	for lag := range flickerLags + 1 {
		k.with = min(k.with, together(mix[lag:], pull[:len(pull)-lag]))
	}
	if len(cols) > 1 {
		k.both = together(f.collect(mask, cols[0], nil, cols[1]).leaps())
	}
	return k, true
}

// leaps is by how much each row's reading, and its first feature, stand apart from their
// neighbours' mean, as standard deviations of one row; NaN where a neighbour is lacking.
func (r *rowset) leaps() (y, x []float64) {
	y, x = filled(r.len(), nan()), filled(r.len(), nan())
	for i := 1; i+1 < r.len(); i++ {
		if r.T[i+1]-r.T[i-1] > 3*block*cell {
			continue
		}
		y[i] = (r.Y[i] - (r.Y[i-1]+r.Y[i+1])/2) / math.Sqrt(1.5)
		x[i] = (r.X[i*r.P+1] - (r.X[(i-1)*r.P+1]+r.X[(i+1)*r.P+1])/2) / math.Sqrt(1.5)
	}
	return y, x
}

// tells says whether that is an engine that misfires.
func (k flicker) tells() bool {
	most := flickerWith
	if k.torque > flickerRough {
		most /= 2
	}
	if k.both > flickerBoth && k.lambda > flickerTwo && k.with < flickerWith/2 {
		return true
	}
	return k.lambda > flickerLambda && (k.torque > flickerTorque && k.with < most || k.torque > flickerFaint && k.with < flickerClose)
}

// unrest is a standard deviation by the upper quarter of sizes: what fails now and then
// moves few rows.
func unrest(x []float64) float64 {
	out := numbers(x)
	for i, v := range out {
		out[i] = math.Abs(v)
	}
	return stats.Quantile(out, 0.8) / 1.28
}

func numbers(x []float64) []float64 {
	return slices.DeleteFunc(slices.Clone(x), math.IsNaN)
}

// together is the correlation about nought of what both have.
func together(a, b []float64) float64 {
	var ab, aa, bb float64
	for i := range a {
		if u, v := a[i], b[i]; u == u && v == v {
			ab, aa, bb = ab+u*v, aa+u*u, bb+v*v
		}
	}
	if !(aa*bb > 0) {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}

// misfires lets that speak beside the watches.
func (j *judge) misfires() {
	k, ok := j.flickers()
	if !ok || !k.tells() {
		return
	}
	text := fmt.Sprintf("mixture flickers by %s from one fifth of a second to the next, and torque by %.0f %% with it: fires fail now and then",
		j.size(&observation{look: &look{spec: spec{measure: ofLambda}}}, k.lambda), 100*k.torque)
	l := &look{spec: spec{id: "misfire", title: text, channels: names(j.lone(quantity.Lambda)...), small: flickerSmall, measure: ofLambda}}
	o := &observation{look: l, evidence: min(most, 6+400*k.lambda), start: k.from, said: text}
	o.hit.Size = k.lambda
	j.obs = append(j.obs, o)
}

// restlessEngine takes lambda sensors out of the doubted ones where torque flickers with them.
func restlessEngine(bs []broken, f func() *frame) []broken {
	doubted := func(b broken) bool {
		return b.channel.Quantity == quantity.Lambda && (b.mode == "noisy" || b.mode == "jumps")
	}
	if !slices.ContainsFunc(bs, doubted) {
		return bs
	}
	if k, ok := f().flickers(); !ok || !k.tells() {
		return bs
	}
	return slices.DeleteFunc(bs, doubted)
}
