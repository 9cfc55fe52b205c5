package reconstruct

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// closed is a pass in closed form: constant acceleration from rest as long as the
// tyres limit it, then constant power. With v1 the speed between the two and x1, t1
// where and when it is reached, v³ = v1³ + 3p(x − x1) and t − t1 = (v² − v1²)/(2p);
// p is power over mass. (Textbook mechanics: work and kinetic energy of a point mass.)
type closed struct {
	a, p float64 // m/s², W/kg
}

// at gives the time, s, and the speed, m/s, at x, m.
func (c closed) at(x float64) (t, v float64) {
	v1 := c.p / c.a
	x1 := v1 * v1 / (2 * c.a)
	if x <= x1 {
		return math.Sqrt(2 * x / c.a), math.Sqrt(2 * c.a * x)
	}
	v = math.Cbrt(v1*v1*v1 + 3*c.p*(x-x1))
	return v1/c.a + (v*v-v1*v1)/(2*c.p), v
}

// when gives acceleration, m/s², and speed, m/s, at t, s.
func (c closed) when(t float64) (a, v float64) {
	v1 := c.p / c.a
	switch t1 := v1 / c.a; {
	case t < 0:
		return 0, 0
	case t < t1:
		return c.a, c.a * t
	default:
		v = math.Sqrt(v1*v1 + 2*c.p*(t-t1))
		return c.p / v, v
	}
}

// The most by which a mark's time, s, and speed, m/s, may be off, whatever the
// stated spread; measured were 0.0028 s and 0.024 m/s.
const mostTime, mostSpeed = 0.005, 0.05

// TestClosedForm reconstructs a pass from two undriven wheels, a receiver and an
// accelerometer that follow the closed form, with small noise, and holds every
// mark's time and speed against it.
func TestClosedForm(t *testing.T) {
	const start, braking, finish, latency = 6.0, 9.0, 1100.0, 0.12 // s on the run clock, m/s², m where the brakes go on, s of the receiver
	for _, c := range []closed{{6, 120}, {9, 300}, {12, 500}} {
		tEnd, vEnd := c.at(finish)
		motion := func(u float64) (a, v float64) {
			switch u -= start; {
			case u < tEnd:
				return c.when(u)
			case u < tEnd+vEnd/braking:
				return -braking, vEnd - braking*(u-tEnd)
			}
			return 0, 0
		}
		r := rand.New(rand.NewPCG(uint64(c.p), 7))
		channel := func(q quantity.Name, rate float64, f func(u float64) float64) dictionary.Channel {
			ch := dictionary.Channel{Name: string(q), Quantity: q, RateHz: rate, Confidence: 1}
			var x trace.Trace
			for u := 0.0; u < start+tEnd+vEnd/braking+4; u += 1 / rate {
				x.T, x.V = append(x.T, u), append(x.V, f(u))
			}
			ch.Trace = x
			return ch
		}
		wheel := func(u float64) float64 {
			_, v := motion(u)
			if v == 0 {
				return 0
			}
			return v + 0.03*r.NormFloat64()
		}
		set := &dictionary.Set{Channels: []dictionary.Channel{
			channel(quantity.WheelSpeedFL, 50, wheel), channel(quantity.WheelSpeedFR, 50, wheel),
			channel(quantity.GPSSpeed, 10, func(u float64) float64 { _, v := motion(u - latency); return max(0, v+0.03*r.NormFloat64()) }),
			channel(quantity.AccelerationLong, 100, func(u float64) float64 { a, _ := motion(u); return a + 0.1*r.NormFloat64() }),
		}}
		sheet, err := car.ParseSheet("plover.toml", []byte("name = \"Plover\"\n[body]\nmass_kg = 1500\n[driveline]\ndriven = \"rear\"\n"))
		if err != nil {
			t.Fatal(err)
		}
		res, err := Passes(set, sheet, nil, Options{})
		if err != nil || len(res.Passes) != 1 {
			t.Fatalf("%+v: %v, %d passes, notes %q", c, err, len(res.Passes), res.Notes)
		}
		p := res.Passes[0]
		roll, _ := c.at(0.3048)
		if len(p.Splits) < 6 {
			t.Errorf("%+v: %d marks", c, len(p.Splits))
		}
		for _, s := range p.Splits {
			at, v := c.at(s.Distance)
			dt, dv := s.Time.Value-(at-roll), s.Speed.Value-v
			if math.Abs(dt) > math.Min(mostTime, 3*s.Time.SD) {
				t.Errorf("%+v %s: time off by %+.4f s (SD %.4f)", c, s.Mark, dt, s.Time.SD)
			}
			if math.Abs(dv) > math.Min(mostSpeed, 3*s.Speed.SD) {
				t.Errorf("%+v %s: speed off by %+.4f m/s (SD %.4f)", c, s.Mark, dv, s.Speed.SD)
			}
		}
	}
}
