package reconstruct

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/car"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// TestLearn: the next pass's own value lies inside the stated 90 % interval 80 to 98
// times in a hundred, whether passes scatter beyond their own errors or not.
func TestLearn(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, between := range []float64{0.0005, 0.004} {
		in, n := 0, 400
		for i := 0; i < n; i++ {
			var ps []*pass.Pass
			for k := 0; k < 6; k++ {
				sd := 0.0006 + 0.0008*r.Float64()
				v := 0.99 + between*r.NormFloat64() + sd*r.NormFloat64()
				ps = append(ps, &pass.Pass{Learnt: pass.Learnt{Constants: map[string]quantity.Estimate{"scale left": {Value: v, SD: sd}}}})
			}
			k := Learn(ps)
			c, own := k.Constants["wheel scale"], k.Constants["scale left"]
			next := 0.99 + between*r.NormFloat64()
			if math.Abs(next-c.Mean-own.Mean) < 1.645*c.SD {
				in++
			}
		}
		if s := float64(in) / float64(n); s < 0.80 || s > 0.99 {
			t.Errorf("scatter %g: %.0f %% in the 90 %% interval", between, 100*s)
		}
	}
}

// TestLearnDrag: passes that share one prior do not count it more than once.
func TestLearnDrag(t *testing.T) {
	prior := quantity.Estimate{Value: 0.7, SD: 0.07}
	own := quantity.Estimate{Value: 0.62, SD: 0.07}
	// one pass: equal weights
	post := quantity.Estimate{Value: 0.66, SD: 0.07 / math.Sqrt2}
	var ps []*pass.Pass
	for i := 0; i < 3; i++ {
		ps = append(ps, &pass.Pass{Learnt: pass.Learnt{DragArea: post, DragPrior: prior}})
	}
	k := Learn(ps)
	want := (0.7 + 3*own.Value) / 4
	if math.Abs(k.DragArea.Value-want) > 1e-9 || math.Abs(k.DragArea.SD-0.035) > 1e-9 {
		t.Errorf("three passes give %.4f ± %.4f, want %.4f ± 0.035", k.DragArea.Value, k.DragArea.SD, want)
	}
	if k := Learn(nil); k.DragArea != nil || len(k.Constants) != 0 {
		t.Error("knowledge out of nothing")
	}
}

// TestLearnFor: other tyres, another body or another constant since the history are told
// and not taken over; what agrees is.
func TestLearnFor(t *testing.T) {
	one := func(scale, lag, drag, prior float64) *pass.Pass {
		return &pass.Pass{Learnt: pass.Learnt{
			Constants: map[string]quantity.Estimate{"scale left": {Value: scale, SD: 0.001}, "scale right": {Value: scale, SD: 0.001}, "accelerometer lag": {Value: lag, SD: 0.002}},
			DragArea:  quantity.Estimate{Value: (drag + prior) / 2, SD: 0.05 / math.Sqrt2}, DragPrior: quantity.Estimate{Value: prior, SD: 0.05},
		}}
	}
	past := []*pass.Pass{one(0.99, 0.02, 0.7, 0.7), one(0.991, 0.021, 0.7, 0.7), one(0.9905, 0.019, 0.7, 0.7)}
	sheet := &car.Sheet{DragArea: quantity.Estimate{Value: 0.7, SD: 0.05}}
	for _, c := range []struct {
		name                   string
		own                    *pass.Pass
		sheet                  *car.Sheet
		scale, lag, drag, told bool
	}{
		{"the same car", one(0.991, 0.02, 0.71, 0.7), sheet, true, true, true, false},
		{"other tyres", one(1.02, 0.02, 0.7, 0.7), sheet, false, true, true, true},
		{"another filter", one(0.991, 0.08, 0.7, 0.7), sheet, true, false, true, true},
		{"another body", one(0.991, 0.02, 1.2, 0.7), sheet, true, true, false, true},
		{"another body in the sheet", one(0.991, 0.02, 0.8, 0.8), &car.Sheet{DragArea: quantity.Estimate{Value: 0.8, SD: 0.05}}, true, true, false, true},
	} {
		k, told := LearnFor([]*pass.Pass{c.own}, c.sheet, past)
		_, scale := k.Constants["wheel scale"]
		_, lag := k.Constants["accelerometer lag"]
		if scale != c.scale || lag != c.lag || (k.DragArea != nil) != c.drag || (len(told) > 0) != c.told {
			t.Errorf("%s: scale %v, lag %v, drag %v, told %q", c.name, scale, lag, k.DragArea != nil, told)
		}
	}
}
