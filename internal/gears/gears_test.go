package gears

import (
	"math"
	"math/rand/v2"
	"testing"
)

// run is a made pass of engine and wheel speed with known gears (invented).
type run struct {
	engine, wheel, pull []float64
	gear                []int
	ratios              []float64
}

// makeRun drives through the gears; slip multiplies the wheels' speed over the car's.
func makeRun(ratios []float64, slip func(t float64) float64, seed uint64) *run {
	r := rand.New(rand.NewPCG(seed, 3))
	out := &run{ratios: ratios}
	v, g, open := 6.0, 1, 0.0 // rad/s of a rolling wheel, gear, s left with the clutch open
	const h = 0.01
	engine := v * ratios[0]
	for t := 0.0; t < 18; t += h {
		a := 12 * (1 - v/320)
		s := 1 + slip(t)
		if open > 0 {
			open -= h
			a = -2
			engine += (v*ratios[g-1] - engine) * h / 0.08
			out.gear = append(out.gear, 0)
		} else {
			engine = v * s * ratios[g-1]
			out.gear = append(out.gear, g)
			if engine > 780 && g < len(ratios) {
				g++
				open = 0.25
			}
		}
		v += a * h
		out.engine = append(out.engine, engine*(1+0.001*r.NormFloat64()))
		out.wheel = append(out.wheel, v*(1+0.002*r.NormFloat64()))
		out.pull = append(out.pull, a*0.32)
	}
	return out
}

func (x *run) problem(fromCar bool) *Problem {
	return &Problem{Ratios: x.ratios, From: 100, Step: 0.01, Engine: x.engine, Wheel: x.wheel, Pull: x.pull, FromCar: fromCar, Spread: 0.012}
}

func (x *run) wrong(t *testing.T, path []int) int {
	t.Helper()
	bad := 0
	for i, g := range x.gear {
		// edges of shifts may differ by some samples
		edge := false
		for j := max(0, i-6); j < min(len(x.gear), i+7); j++ {
			edge = edge || x.gear[j] != g
		}
		if !edge && g > 0 && path[i] != g {
			bad++
		}
	}
	return bad
}

// TestKnownGears: five and seven gears, with driven wheels and by the car's speed
// with and without slip, come out right at every sample away from the edges.
func TestKnownGears(t *testing.T) {
	for _, c := range []struct {
		name    string
		ratios  []float64
		fromCar bool
		slip    func(float64) float64
	}{
		{"wheels, five", []float64{9.8, 6.9, 5.2, 4.1, 3.3}, false, func(float64) float64 { return 0 }},
		{"wheels, seven close", []float64{11, 8.2, 6.4, 5.2, 4.3, 3.6, 3.1}, false, func(float64) float64 { return 0 }},
		{"car, gentle slip", []float64{9.8, 6.9, 5.2, 4.1, 3.3}, true, func(t float64) float64 { return 0.05 }},
		{"car, spin at first", []float64{9.8, 6.9, 5.2, 4.1, 3.3}, true, func(t float64) float64 { return 0.03 + 0.3*math.Exp(-t/1.5) }},
	} {
		for seed := uint64(0); seed < 5; seed++ {
			x := makeRun(c.ratios, c.slip, seed)
			_, path := Find(x.problem(c.fromCar))
			if n := x.wrong(t, path); n > 0 {
				t.Errorf("%s, seed %d: %d samples in a wrong gear", c.name, seed, n)
			}
		}
	}
}

// TestLoggedGearIsEvidence: a gear channel that is wrong for two seconds does not
// overrule what the wheels show.
func TestLoggedGearIsEvidence(t *testing.T) {
	x := makeRun([]float64{9.8, 6.9, 5.2, 4.1, 3.3}, func(float64) float64 { return 0 }, 1)
	p := x.problem(false)
	for i, g := range x.gear {
		v := float64(g)
		if i > 400 && i < 600 {
			v = 5
		}
		p.Logged = append(p.Logged, v)
	}
	_, path := Find(p)
	if n := x.wrong(t, path); n > 0 {
		t.Errorf("%d samples in a wrong gear", n)
	}
}

func TestNothingToTell(t *testing.T) {
	spans, path := Find(&Problem{})
	if len(spans) != 0 || len(path) != 0 {
		t.Error("gears out of nothing")
	}
}

// pulse is hub torque that falls at off over fall seconds, is away, and comes back at
// on with a clutch bite before it.
func pulse(off, on, before, after, bite float64) *Torque {
	q := &Torque{From: 0, Step: 0.01}
	for t := 0.0; t < 4; t += 0.01 {
		h := before
		switch {
		case t > off+0.02 && t < on-0.02:
			h = -40
			if t > on-0.10 && t < on-0.06 {
				h += bite
			}
		case t >= off-0.02 && t <= off+0.02:
			h = before * (0.5 - (t-off)/0.04)
		case t >= on-0.02 && t <= on+0.02:
			h = after * (0.5 + (t-on)/0.04)
		case t > on+0.02:
			h = after
		}
		q.Hub = append(q.Hub, h)
		th := 1.0
		if t > off-0.05 && t < on-0.05 {
			th = 0
		}
		q.Throttle = append(q.Throttle, th)
	}
	return q
}

// TestEdges: the edges of a made shift are found to a few milliseconds, with a bite of
// the clutch before the throttle opens and with an old ratio seen too long.
func TestEdges(t *testing.T) {
	for _, c := range []struct {
		name       string
		left, bite float64
	}{{"clean", 1.52, 0}, {"bite", 1.52, 2900}, {"ratio seen late", 1.70, 0}} {
		q := pulse(1.5, 1.8, 2600, 2400, c.bite)
		e, ok := FindEdge(q, 0.2, c.left, 1.83, 0.75)
		if !ok {
			t.Fatalf("%s: no edge", c.name)
		}
		if math.Abs(e.Off-1.5) > 0.004 {
			t.Errorf("%s: torque off at %.4f s, made at 1.5", c.name, e.Off)
		}
		// half of what it was times the ratio, the less of the two levels
		want := 1.8 + (2600*0.75/2/2400-0.5)*0.04
		if math.Abs(e.On-want) > 0.006 {
			t.Errorf("%s: torque on at %.4f s, made at %.4f", c.name, e.On, want)
		}
	}
	if _, ok := FindEdge(pulse(1.5, 1.8, -100, 100, 0), 0.2, 1.5, 1.8, 0.8); ok {
		t.Error("an edge without a pull")
	}
}

func TestTidy(t *testing.T) {
	in := []Span{{Gear: 1, From: 0, To: 2}, {Gear: 2, From: 2.3, To: 3}, {Gear: 2, From: 3.05, To: 4}, {Gear: 1, From: 4.1, To: 4.15}, {Gear: 3, From: 4.4, To: 6}}
	out := Tidy(in, 0.3, 0.12)
	if len(out) != 3 || out[1].Gear != 2 || out[1].To != 4 || out[2].Gear != 3 {
		t.Errorf("tidy gave %+v", out)
	}
}
