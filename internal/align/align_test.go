package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// profile is a made movement: a run with gaps of pull (invented).
func profile(t, a0 float64) float64 {
	if t < 5 {
		return 0
	}
	v := 0.0
	const h = 0.02
	for u := 5.0; u < t && u < 40; u += h {
		a := a0 * (1 - v/100)
		if math.Mod(u, 3) < 0.25 {
			a = -1
		}
		if u > 24 {
			a = -5
		}
		v = math.Max(0, v+a*h)
	}
	return v
}

func record(from, to, dt, shift, noise float64, seed uint64, a0 float64) trace.Trace {
	r := rand.New(rand.NewPCG(seed, 1))
	var x trace.Trace
	for t := from; t < to; t += dt {
		x.T = append(x.T, t-shift)
		x.V = append(x.V, math.Max(0, profile(t, a0)+noise*r.NormFloat64()))
	}
	return x
}

// TestOffset: two recorders of one run are aligned within their stated interval.
func TestOffset(t *testing.T) {
	in, n := 0, 16
	for s := uint64(0); s < uint64(n); s++ {
		shift := 1234.5678 + float64(s)*3.21
		a := record(0, 44, 0.05, 0, 0.08, s, 8)
		b := record(2, 43, 0.1, shift, 0.08, s+90, 8)
		o, err := Find(a, b)
		if err != nil {
			t.Fatal(err)
		}
		e := o.Seconds.Value - shift
		if math.Abs(e) > 0.03 {
			t.Errorf("seed %d: offset off by %.4f s", s, e)
		}
		if math.Abs(e) < 1.645*o.Seconds.SD {
			in++
		}
	}
	if in < n*3/4 {
		t.Errorf("%d of %d offsets in their 90 %% interval", in, n)
	}
}

// TestOtherRun: another run of another car is not taken for the same one.
func TestOtherRun(t *testing.T) {
	a := record(0, 44, 0.05, 0, 0.05, 1, 8)
	if _, err := Find(a, record(0, 44, 0.1, 100, 0.05, 2, 5)); err != ErrNoMatch {
		t.Errorf("another run was matched: %v", err)
	}
	if _, err := Find(a, trace.Trace{}); err != ErrNoMatch {
		t.Errorf("nothing was matched: %v", err)
	}
}

func TestMerge(t *testing.T) {
	a := &dictionary.Set{Channels: []dictionary.Channel{{Name: "Engine", Quantity: quantity.EngineSpeed, Trace: trace.Trace{T: []float64{1}, V: []float64{2}}}}}
	b := &dictionary.Set{Channels: []dictionary.Channel{{Name: "Speed", Quantity: quantity.GPSSpeed, Trace: trace.Trace{T: []float64{5}, V: []float64{3}}}}}
	m := Merge(a, b, Offset{Seconds: quantity.Estimate{Value: -4}})
	if c := m.First(quantity.GPSSpeed); c == nil || c.Trace.T[0] != 1 {
		t.Errorf("merged %+v", m.Channels)
	}
	if b.Channels[0].Trace.T[0] != 5 {
		t.Error("the second set was changed")
	}
}
