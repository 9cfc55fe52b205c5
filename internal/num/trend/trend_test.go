package trend

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// TestAgainstGeneralLeastSquares solves the same model as one Gaussian
// regression with a general-purpose matrix library (gonum/mat): the samples'
// covariance under the model plus a free line.
func TestAgainstGeneralLeastSquares(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	n := 25
	ts, ys := make([]float64, n), make([]float64, n)
	x := 0.0
	for i := range ts {
		x += 0.5 + rng.Float64()
		ts[i] = x
		ys[i] = 3*math.Sin(x/4) + 0.3*rng.NormFloat64()
	}
	const noise, wander = 0.09, 0.02
	// Kernel of the integrated Wiener process from ts[0]: ∫∫ min.
	k := func(a, b float64) float64 {
		a, b = a-ts[0], b-ts[0]
		if a > b {
			a, b = b, a
		}
		return wander * (a*a*b/2 - a*a*a/6)
	}
	v := mat.NewSymDense(n, nil)
	for i := range n {
		for j := i; j < n; j++ {
			c := k(ts[i], ts[j])
			if i == j {
				c += noise
			}
			v.SetSym(i, j, c)
		}
	}
	line := mat.NewDense(n, 2, nil)
	for i := range n {
		line.Set(i, 0, 1)
		line.Set(i, 1, ts[i]-ts[0])
	}
	var vi mat.Dense
	if err := vi.Inverse(v); err != nil {
		t.Fatal(err)
	}
	y := mat.NewVecDense(n, ys)
	var tv, normal mat.Dense
	tv.Mul(line.T(), &vi)
	normal.Mul(&tv, line)
	var ni mat.Dense
	if err := ni.Inverse(&normal); err != nil {
		t.Fatal(err)
	}
	var rhs, beta, fitted, resid, w mat.VecDense
	rhs.MulVec(&tv, y)
	beta.MulVec(&ni, &rhs)
	fitted.MulVec(line, &beta)
	resid.SubVec(y, &fitted)
	w.MulVec(&vi, &resid)

	got := Smooth(ts, ys, noise, wander)
	for i := range n {
		want := fitted.AtVec(i)
		for j := range n {
			want += k(ts[i], ts[j]) * w.AtVec(j)
		}
		if math.Abs(got.Level[i]-want) > 1e-4 {
			t.Errorf("level[%d] = %.7f, general solution %.7f", i, got.Level[i], want)
		}
		// Predictive variance with the line unknown.
		var kr mat.VecDense
		row := mat.NewVecDense(n, nil)
		for j := range n {
			row.SetVec(j, k(ts[i], ts[j]))
		}
		kr.MulVec(&vi, row)
		variance := k(ts[i], ts[i]) - mat.Dot(row, &kr)
		u := mat.NewVecDense(2, []float64{1, ts[i] - ts[0]})
		var lk, nu mat.VecDense
		lk.MulVec(line.T(), &kr)
		u.SubVec(u, &lk)
		nu.MulVec(&ni, u)
		variance += mat.Dot(u, &nu)
		if math.Abs(got.LevelVar[i]/variance-1) > 1e-3 {
			t.Errorf("variance[%d] = %.6g, general solution %.6g", i, got.LevelVar[i], variance)
		}
	}
}

func TestFitRecoversRampCrossing(t *testing.T) {
	// A ramp of 150 units a second sampled 100 times a second with noise 0.7: the
	// crossing must be known to a few milliseconds and its stated spread be honest.
	var sum, claimed float64
	const runs = 200
	for seed := range uint64(runs) {
		rng := rand.New(rand.NewPCG(seed, 9))
		var ts, ys []float64
		for i := range 50 {
			x := float64(i) / 100
			ts = append(ts, x)
			ys = append(ys, 100+150*x+20*x*x+0.7*rng.NormFloat64())
		}
		c := Fit(ts, ys, 0.49)
		at, ok := c.Rise(140, 0)
		if !ok {
			t.Fatal("no crossing")
		}
		_, sd, slope, _ := c.At(at)
		truth := (-150 + math.Sqrt(150*150+4*20*40)) / 40
		sum += (at - truth) * (at - truth)
		claimed += sd * sd / (slope * slope)
	}
	rms, want := math.Sqrt(sum/runs), math.Sqrt(claimed/runs)
	if rms > 0.003 {
		t.Errorf("crossing is off by %.4f rms", rms)
	}
	if want < 0.6*rms || want > 2*rms {
		t.Errorf("stated spread %.5f, true %.5f", want, rms)
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(5, 40).Draw(t, "n")
		ts, ys := make([]float64, n), make([]float64, n)
		x := 0.0
		for i := range ts {
			x += rapid.Float64Range(0.01, 1).Draw(t, "step")
			ts[i] = x
			ys[i] = rapid.Float64Range(-100, 100).Draw(t, "y")
		}
		shift := rapid.Float64Range(-50, 50).Draw(t, "shift")
		tilt := rapid.Float64Range(-5, 5).Draw(t, "tilt")
		a := Smooth(ts, ys, 1, 0.5)
		moved := make([]float64, n)
		for i := range ys {
			moved[i] = ys[i] + shift + tilt*ts[i]
		}
		b := Smooth(ts, moved, 1, 0.5)
		for i := range ts {
			// A line added to the samples is added to the curve.
			if d := b.Level[i] - a.Level[i] - shift - tilt*ts[i]; math.Abs(d) > 1e-3 {
				t.Fatalf("a line added changes the curve by %g", d)
			}
			if a.LevelVar[i] > 1+1e-9 {
				t.Fatalf("variance %g above that of one sample", a.LevelVar[i])
			}
		}
		// More noise never narrows.
		c := Smooth(ts, ys, 2, 0.5)
		for i := range ts {
			if c.LevelVar[i] < a.LevelVar[i]-1e-9 {
				t.Fatal("a worse sensor narrows the curve")
			}
		}
	})
}

func TestNoiseFromDifferences(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	y := make([]float64, 4000)
	for i := range y {
		y[i] = 100*math.Sin(float64(i)/300) + 0.7*rng.NormFloat64()
	}
	for i := 500; i < 4000; i += 500 {
		y[i] += 80 // single wild samples
	}
	if got := math.Sqrt(NoiseFromDifferences(y)); math.Abs(got-0.7) > 0.05 {
		t.Errorf("noise %.3f, made with 0.7", got)
	}
	if NoiseFromDifferences(y[:5]) != 0 {
		t.Error("a handful of samples tells a noise")
	}
}

func TestEdges(t *testing.T) {
	if c := Smooth(nil, nil, 1, 1); len(c.T) != 0 {
		t.Error("empty column")
	}
	c := Smooth([]float64{1, 2, 3}, []float64{5, math.NaN(), 7}, 1e-6, 0)
	if v, _, s, ok := c.At(2); !ok || math.Abs(v-6) > 1e-3 || math.Abs(s-1) > 1e-3 {
		t.Errorf("gap bridged by %v, slope %v", v, s)
	}
	if _, ok := c.Rise(100, 1); ok {
		t.Error("a level never reached is reached")
	}
	if at, ok := c.Rise(-100, 1.5); !ok || at != 1.5 {
		t.Error("a level already passed is passed at the start")
	}
	if lo, at, ok := c.Lowest(0, 9); !ok || at != 1 || math.Abs(lo-5) > 1e-3 {
		t.Errorf("lowest %v at %v", lo, at)
	}
}
