package fitcar

import (
	"math"

	"traplight/internal/sim"
)

// friction is the motored friction and pumping torque, N·m, of a four-stroke
// engine of displacement vd, m³, at speed, rad/s: Heywood eq. 13.6b,
// 0.97 + 0.15·n + 0.05·n² bar with n in 1000 rpm, as a mean effective pressure.
func friction(vd, speed float64) float64 {
	if vd <= 0 {
		vd = 0.003
	}
	n := speed * 30 / math.Pi / 1000
	return (0.97 + 0.15*n + 0.05*n*n) * 1e5 * vd / (4 * math.Pi)
}

// basis gives the four nodes and weights by which sim's table is evaluated at u.
func basis(u float64, n int) (idx [4]int, w [4]float64) {
	if u <= 0 {
		idx[0], w[0] = 0, 1
		return
	}
	if u >= float64(n-1) {
		idx[0], w[0] = n-1, 1
		return
	}
	i := int(u)
	f := u - float64(i)
	a := 0.5 * f * (-1 + f*(2-f))
	b := 1 + 0.5*f*f*(-5+3*f)
	c := 0.5 * f * (1 + f*(4-3*f))
	d := 0.5 * f * f * (f - 1)
	idx = [4]int{max(i-1, 0), i, i + 1, min(i+2, n-1)}
	w = [4]float64{a, b, c, d}
	if i == 0 { // a = 2b − c
		idx[0], w[0] = 0, 0
		w[1] += 2 * a
		w[2] -= a
	}
	if i+2 >= n { // d = 2c − b
		idx[3], w[3] = n-1, 0
		w[2] += 2 * d
		w[1] -= d
	}
	return
}

// merge sums the weights of equal nodes into the first and zeroes the rest.
func merge(idx []int, val []float64) []int {
	for p := range idx {
		for q := 0; q < p; q++ {
			if idx[q] == idx[p] && val[p] != 0 {
				val[q] += val[p]
				val[p] = 0
			}
		}
	}
	return idx
}

// dense is the charge pressure of sample i at the best ignition, Pa, when the torque
// there is known.
func (w *work) dense(e *sim.Engine, i int) (float64, bool) {
	if math.IsNaN(w.torque[i]) || w.head == nil || math.IsNaN(w.head[i]) {
		return 0, false
	}
	p := sim.Pressure(w.air.Pressure, w.head[i])
	return e.Dense(p, w.temperature(e, i)), true
}

// temperature is that of the charge at sample i as torque feels it, K, where the head is known.
func (w *work) temperature(e *sim.Engine, i int) float64 {
	return w.cold(e, i) + e.Core.Felt*w.coreAt(i)
}

// cold is the same with the cooler's core as at the launch.
func (w *work) cold(e *sim.Engine, i int) float64 {
	return e.ChargeTemperature(w.air.Temperature, w.head[i], w.Engine[i])
}

// charge is the same at the ignition as it was, Pa.
func (w *work) charge(e *sim.Engine, i int) (float64, bool) {
	q, ok := w.dense(e, i)
	if ok && e.Spark.Loss > 0 {
		q *= e.Spark.Efficiency(w.angle(e, i))
	}
	return q, ok
}

// fed tells whether nitrous adds to the torque of sample i.
func (w *work) fed(c *sim.Car, i int) bool {
	return w.Nitrous && w.Gear[i] >= 1 && w.open(c, i, sim.Pressure(w.air.Pressure, w.head[i]), w.target(&c.Boost, w.Gear[i]), w.Gear[i])
}
