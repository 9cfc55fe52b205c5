package changepoint

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"traplight/internal/reftest"

	"pgregory.net/rapid"
)

// dense computes the same generalised least squares by brute force: covariance
// matrix written out, solved by Cholesky.
func dense(s Series, shape []float64) (size, sd float64) {
	n, p := len(s.Y), s.P
	cov := make([]float64, n*n)
	for i := range n {
		for j := range n {
			c := 0.0
			if s.Corr > 0 {
				c = math.Exp(-math.Abs(s.T[i]-s.T[j]) / s.Corr)
			} else if i == j {
				c = 1
			}
			c *= s.Noise * s.Noise
			for a := range p {
				for b := range p {
					c += s.X[i*p+a] * s.PriorCov[a*p+b] * s.X[j*p+b]
				}
			}
			cov[i*n+j] = c
		}
	}
	l, _ := cholesky(cov, n)
	y, v := make([]float64, n), append([]float64(nil), shape...)
	for i := range n {
		y[i] = s.Y[i]
		for a := range p {
			y[i] -= s.X[i*p+a] * s.PriorMean[a]
		}
	}
	forward(l, y, n)
	forward(l, v, n)
	var vv, vy float64
	for i := range n {
		vv += v[i] * v[i]
		vy += v[i] * y[i]
	}
	return vy / vv, 1 / math.Sqrt(vv)
}

func TestScanEqualsDenseSolve(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	const n, p = 40, 2
	s := Series{P: p, PriorMean: []float64{1, -2}, PriorCov: []float64{0.5, 0.1, 0.1, 0.3}, Noise: 0.7, Corr: 1.3}
	for i := range n {
		s.T = append(s.T, float64(i)+0.5*r.Float64())
		s.X = append(s.X, 1, math.Sin(float64(i)/5))
		s.Y = append(s.Y, r.NormFloat64())
		s.Load = append(s.Load, 1+0.5*math.Cos(float64(i)/6))
	}
	k, err := s.Ready()
	if err != nil {
		t.Fatal(err)
	}
	for _, sh := range []Shape{{}, {Last: 6}, {ByLoad: true}, {ByLoad: true, Beyond: 0.8}} {
		for _, at := range []int{0, 7, 25, n - 1} {
			v := make([]float64, n)
			for i := at; i < n; i++ {
				if sh.Last == 0 || s.T[i]-s.T[at] < sh.Last {
					v[i] = 1
					if sh.ByLoad {
						v[i] = s.Load[i]
					}
					if sh.Beyond > 0 {
						v[i] = max(0, s.Load[i]/slices.Max(s.Load)-sh.Beyond) / (1 - sh.Beyond)
					}
				}
			}
			size, sd := dense(s, v)
			h, ok := k.At(sh, at)
			if !ok || math.Abs(h.Size-size) > 1e-9 || math.Abs(h.SD-sd) > 1e-9 {
				t.Errorf("%+v at %d: %.12g ± %.12g, dense %.12g ± %.12g", sh, at, h.Size, h.SD, size, sd)
			}
		}
	}
}

// Without a disturbance Z is standard normal at a fixed place, whatever the
// regressors and the correlation: its second moment over many draws is 1.
func TestScanIsCalibrated(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const n, draws = 60, 3000
	sum := 0.0
	for range draws {
		s := Series{P: 2, PriorMean: []float64{0, 0}, PriorCov: []float64{4, 0, 0, 1}, Noise: 1, Corr: 2}
		a, b, e := 2*r.NormFloat64(), r.NormFloat64(), r.NormFloat64()
		rho := math.Exp(-0.5)
		for i := range n {
			x := float64(i)/30 - 1
			s.T, s.X = append(s.T, float64(i)), append(s.X, 1, x)
			s.Y = append(s.Y, a+b*x+e)
			e = rho*e + math.Sqrt(1-rho*rho)*r.NormFloat64()
		}
		k, err := s.Ready()
		if err != nil {
			t.Fatal(err)
		}
		h, _ := k.At(Shape{}, 35)
		sum += h.Z * h.Z
	}
	// SD of the mean of 3000 χ² of one degree: √(2/3000) = 0.026.
	if m := sum / draws; math.Abs(m-1) > 0.11 {
		t.Errorf("mean Z² %.3f, want 1", m)
	}
}

func TestScanFindsTheOnset(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := rapid.IntRange(5, 90).Draw(t, "at")
		seed := rapid.Uint64().Draw(t, "seed")
		r := rand.New(rand.NewPCG(seed, 9))
		s := Series{P: 1, PriorMean: []float64{0}, PriorCov: []float64{100}, Noise: 1}
		for i := range 100 {
			v := r.NormFloat64() + 5
			if i >= at {
				v += 12
			}
			s.T, s.X, s.Y = append(s.T, float64(i)), append(s.X, 1), append(s.Y, v)
		}
		k, err := s.Ready()
		if err != nil {
			t.Fatal(err)
		}
		h, profile, ok := k.Scan([]Shape{{}, {Last: 4}, {Rise: 8}})
		if !ok || h.At != at || len(profile) != 100 {
			t.Fatalf("onset at %d, found %+v", at, h)
		}
	})
}

// The real rig: the clear disturbance must be found at its labelled start, the
// normal running must not be cut at the same penalty after its own noise.
func TestPumpRig(t *testing.T) {
	d := table(t, reftest.Path(t, "data/pump-rig-faults/other-14.csv"), ';')
	temp, flow, label := d["Thermocouple"], d["Volume Flow RateRMS"], d["anomaly"]
	if temp == nil || flow == nil {
		t.Fatalf("columns changed: %v", d)
	}
	truth := 0
	for truth < len(label) && label[truth] != 1 {
		truth++
	}
	// Noise and correlation from the first half of the quiet part only.
	quiet := truth / 2
	s := Series{P: 2, PriorMean: []float64{0, 0}, PriorCov: []float64{1e4, 0, 0, 1e4}}
	m, sd, rho := moments(temp[:quiet])
	s.Noise, s.Corr = sd, -1/math.Log(max(rho, 1e-9))
	for i, v := range temp {
		s.T, s.X, s.Y = append(s.T, float64(i)), append(s.X, 1, float64(i)/1000), append(s.Y, v-m)
	}
	k, err := s.Ready()
	if err != nil {
		t.Fatal(err)
	}
	h, _, _ := k.Scan([]Shape{{}, {Rise: 60}, {Last: 300}, {Rise: 60, Last: 300}})
	if math.Abs(h.Z) < 8 || math.Abs(float64(h.At-truth)) > 30 {
		t.Errorf("labelled from row %d; found %+v", truth, h)
	}
	t.Logf("labelled from row %d; found at %d, size %.2f ± %.2f °C", truth, h.At, h.Size, h.SD)
}

func moments(x []float64) (mean, sd, rho float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v / n
	}
	var a, b float64
	for i, v := range x {
		b += (v - mean) * (v - mean)
		if i > 0 {
			a += (v - mean) * (x[i-1] - mean)
		}
	}
	return mean, math.Sqrt(b / n), a / b
}

func BenchmarkScan(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	const n, p = 110, 6
	s := Series{P: p, PriorMean: make([]float64, p), PriorCov: make([]float64, p*p), Noise: 1, Corr: 0.4}
	for j := range p {
		s.PriorCov[j*p+j] = 1
	}
	for i := range n {
		s.T, s.Y = append(s.T, float64(i)*0.2), append(s.Y, r.NormFloat64())
		for range p {
			s.X = append(s.X, r.NormFloat64())
		}
		s.Load = append(s.Load, 1)
	}
	for b.Loop() {
		k, _ := s.Ready()
		k.Scan([]Shape{{}, {ByLoad: true}, {Rise: 3}, {Last: 0.6}, {Last: 2}})
	}
}
