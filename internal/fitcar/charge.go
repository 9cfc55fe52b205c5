package fitcar

import (
	"math"

	"traplight/internal/num/fit"
	"traplight/internal/sim"
)

// Prior of the charge temperature: a compressor of 0.72 efficiency, a cooler of 0.8
// effectiveness that passes on 0.28 of ambient temperature and head while its core is cold; 10 K
// of heat soak. A core of 5 kg in the wind takes up 0.05 1/s of what the reference flow brings and
// sheds 0.2 1/s, one with 20 kg of water 0.005 and next to nothing. Common practice, no source.
const (
	chargeRise, chargeRiseSD = 0.28, 0.13 // 1
	chargeBase, chargeBaseSD = 10.0, 10.0 // K
	chargeLag, chargeLagSD   = 0.9, 0.5   // s, of the sensor
	// a cooler of effectiveness 1 − exp(−N) passes on exp(−N) of the heat, N about 1.4 at full power.
	// Where the gas's side holds the heat back N falls with the flow's power of 0.3 (heat transfer
	// grows by 0.7 of it; Incropera and DeWitt, from memory) and what passes grows by 0.4; where the
	// metal or the water does N falls with the flow itself and it grows by 1.4
	chargeFlow, chargeFlowSD = 0.7, 0.4   // 1
	coreTake, coreTakeSD     = 0.015, 0.9 // 1/s; 1, of its logarithm
	coreShed, coreShedSD     = 0.06, 1.0  // 1/s; 1
	chargeNoise              = 2.5        // K, of sensor bias and model together; samples share it
	chargeEvery              = 10         // samples
)

// chargeLaw sets what the parameters of the fit are: rise, base, the sensor's lag, the
// logarithms of the core's rates, and what engine speed does to the rise.
func chargeLaw(e *sim.Engine, p []float64) {
	e.ChargeRise, e.ChargeBase, e.ChargeFlow = p[0], p[1], p[5]
	e.Core = sim.Core{Take: math.Exp(p[3]), Shed: math.Exp(p[4]), Felt: 1}
}

// alongCharge calls f with the temperature in the manifold and the core's part of it, both K,
// sample by sample from the lock on.
func (w *work) alongCharge(e *sim.Engine, f func(i int, inside, core float64) bool) {
	core := 0.0
	for i := w.Lock; i < len(w.X); i++ {
		h := w.head[i]
		if math.IsNaN(h) {
			h = 0
		}
		n, p := w.Engine[i], sim.Pressure(w.air.Pressure, h)
		if math.IsNaN(n) {
			n = 0
		}
		inside := e.ChargeTemperature(w.air.Temperature, h, n) + core
		if !f(i, inside, core) {
			return
		}
		flow := sim.Flow(n, p, inside)
		core += w.Step * e.CoreSlope(core, flow, w.air.Temperature, h, w.V[i])
	}
}

// warm keeps the core's part of the charge temperature along the pass.
func (w *work) warm(e *sim.Engine) {
	if w.head == nil {
		return
	}
	w.core = make([]float64, len(w.X))
	w.alongCharge(e, func(i int, _, core float64) bool { w.core[i] = core; return true })
}

// coreAt is the core's part of the charge temperature at sample i, K.
func (w *work) coreAt(i int) float64 {
	if w.core == nil {
		return 0
	}
	return w.core[i]
}

// fitCharge fits the charge temperature to its sensor, which lags.
func fitCharge(c *sim.Car, ws []*work, d *draws) {
	prior := []fit.Prior{{Mean: max(0.05, d.normal(chargeRise, chargeRiseSD)), SD: chargeRiseSD}, {Mean: d.normal(chargeBase, chargeBaseSD), SD: chargeBaseSD},
		{Mean: max(0.2, d.normal(chargeLag, chargeLagSD)), SD: chargeLagSD},
		{Mean: d.normal(math.Log(coreTake), coreTakeSD), SD: coreTakeSD}, {Mean: d.normal(math.Log(coreShed), coreShedSD), SD: coreShedSD},
		{Mean: d.normal(chargeFlow, chargeFlowSD), SD: chargeFlowSD}}
	start := make([]float64, len(prior))
	for i, p := range prior {
		start[i] = p.Mean
	}
	chargeLaw(&c.Engine, start)
	type pt struct {
		w    *work
		keep []int
	}
	var pts []pt
	n := 0
	for _, w := range ws {
		if w.Charge == nil || w.head == nil {
			continue
		}
		p := pt{w: w}
		for i := w.Lock; i < len(w.X); i += chargeEvery {
			if v := w.Charge[i]; !math.IsNaN(v) && v > 230 && v < 450 && !math.IsNaN(w.head[i]) {
				p.keep = append(p.keep, i)
			}
		}
		if len(p.keep) > 10 {
			pts = append(pts, p)
			n += len(p.keep)
		}
	}
	if n == 0 {
		return
	}
	res, err := fit.Fit(fit.Problem{M: n,
		Residuals: func(p, r []float64) {
			var e sim.Engine
			chargeLaw(&e, p)
			k := 0
			for _, q := range pts {
				state, next := q.w.Charge[q.keep[0]], 0
				q.w.alongCharge(&e, func(i int, inside, _ float64) bool {
					state += (inside - state) * min(1, q.w.Step/p[2])
					if i == q.keep[next] {
						r[k+next] = (state - q.w.Charge[i]) / chargeNoise
						next++
					}
					return next < len(q.keep)
				})
				k += len(q.keep)
			}
		},
		Lower:  []float64{0, -15, 0.1, math.Log(coreTake) - 3*coreTakeSD, math.Log(coreShed) - 3*coreShedSD, -0.5},
		Upper:  []float64{1.2, 60, 4, math.Log(coreTake) + 3*coreTakeSD, math.Log(coreShed) + 3*coreShedSD, 1.4},
		Priors: prior}, start, fit.Settings{MaxIterations: 25, Tolerance: 1e-6, Huber: 3})
	if err == nil {
		chargeLaw(&c.Engine, res.P)
	}
}
