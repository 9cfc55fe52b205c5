package forecast

import (
	"fmt"
	"math"
	"math/rand/v2"

	"traplight/internal/num/xrand"
)

// maxGears bounds what one draw holds.
const maxGears = 10

// luck is all that chance decides about one pass, as standard normal numbers and
// shares. Settings do not enter, so that two settings can meet the same luck.
type luck struct {
	member   int
	launch   uint64            // seed of the launch drawn
	over     [maxGears]float64 // engine speed at the end of torque
	time     [maxGears]float64 // shift times
	wind     float64
	density  float64
	grip     float64
	residual float64
	pressure float64 // effect of tyre pressure
	ratio    float64 // effect of launch engine speed
	nitrous  float64 // bottle
	brake    float64
	response float64 // how torque answers a change of boost
	torque   float64 // of another fuel, engine or turbo
	tyre     float64 // grip of another tyre
	spool    float64 // rotor of another turbo
	cooler   float64 // how far the charge follows the air's temperature
	line     float64 // how far boost at the line follows engine speed
}

// draw makes luck number i of a seed.
func draw(seed uint64, i, members int) luck {
	r := xrand.Stream(seed, fmt.Sprintf("forecast/draw/%d", i))
	l := luck{member: i % members, launch: r.Uint64()}
	for g := range l.over {
		l.over[g] = normal(r)
	}
	for g := range l.time {
		l.time[g] = normal(r)
	}
	for _, p := range []*float64{&l.wind, &l.density, &l.grip, &l.residual, &l.pressure, &l.ratio, &l.nitrous, &l.brake, &l.response, &l.torque, &l.tyre, &l.spool, &l.cooler, &l.line} {
		*p = normal(r)
	}
	return l
}

func normal(r *rand.Rand) float64 { return max(-3.5, min(3.5, r.NormFloat64())) }

// carryOver predicts what the model will miss in a pass at hour at, m/s, from what
// it missed before, m/s at hours: mean and standard deviation of the lasting part.
// A Gaussian process of mean 0 with kernel always² + day²·exp(−|Δ|/24 h), and once² on
// the diagonal.
func carryOver(at float64, hours, missed []float64, always, day, once float64) (mean, sd float64) {
	var h, y []float64
	for i, r := range missed {
		if !math.IsNaN(r) {
			h, y = append(h, hours[i]), append(y, r)
		}
	}
	n := len(y)
	if n == 0 {
		return 0, math.Hypot(always, day)
	}
	k := func(a, b float64) float64 { return always*always + day*day*math.Exp(-math.Abs(a-b)/24) }
	// Cholesky of the small system
	L := make([][]float64, n)
	for i := range L {
		L[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			s := k(h[i], h[j])
			if i == j {
				s += once * once
			}
			for q := 0; q < j; q++ {
				s -= L[i][q] * L[j][q]
			}
			if i == j {
				L[i][i] = math.Sqrt(max(s, 1e-12))
			} else {
				L[i][j] = s / L[j][j]
			}
		}
	}
	solve := func(b []float64) []float64 {
		x := make([]float64, n)
		for i := range x {
			s := b[i]
			for q := 0; q < i; q++ {
				s -= L[i][q] * x[q]
			}
			x[i] = s / L[i][i]
		}
		return x
	}
	kv := make([]float64, n)
	for i := range kv {
		kv[i] = k(at, h[i])
	}
	a, b := solve(kv), solve(y)
	v := always*always + day*day
	for i := range a {
		mean += a[i] * b[i]
		v -= a[i] * a[i]
	}
	return mean, math.Sqrt(max(v, 0))
}
