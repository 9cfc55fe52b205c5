package motion

import (
	"math"
	"math/rand/v2"
	"testing"
)

// drive is a made pass with exact values: rest for two seconds, a ramp to a0 over
// 0.2 s, a fall of pull with speed, and gaps of pull as in shifts. Invented, to test
// the estimator against what it must recover.
type drive struct {
	t, x, v, a []float64
}

func makeDrive(seed uint64) *drive {
	r := rand.New(rand.NewPCG(seed, 7))
	a0 := 6 + 3*r.Float64()
	gaps := []float64{4.2, 6.8, 9.9, 13.2}
	d := &drive{}
	const h = 0.0005
	x, v := 0.0, 0.0
	for t := 0.0; t < 20; t += h {
		a := 0.0
		if t > 2 {
			a = a0 * math.Min(1, (t-2)/0.2) * (1 - v/110)
			for _, g := range gaps {
				if t > 2+g && t < 2+g+0.25 {
					e := math.Min(math.Min(1, (t-2-g)/0.03), math.Min(1, (2+g+0.25-t)/0.03))
					a = a*(1-e) - 1.2*e
				}
			}
		}
		d.t, d.x, d.v, d.a = append(d.t, t), append(d.x, x), append(d.v, v), append(d.a, a)
		x += v*h + a*h*h/2
		v += a * h
	}
	return d
}

func (d *drive) at(t float64) (x, v, a float64) {
	i := int(t / 0.0005)
	i = max(0, min(len(d.t)-1, i))
	return d.x[i], d.v[i], d.a[i]
}

// sensors makes readings of a drive: wheels that grow and are blind near standstill,
// a receiver that lags and wanders, an accelerometer with bias and lean.
func (d *drive) sensors(seed uint64) []Source {
	r := rand.New(rand.NewPCG(seed, 11))
	scale, growth := 1+0.01*r.NormFloat64(), 3.4e-6+5e-7*r.NormFloat64()
	latency, bias, lean := 0.12+0.1*r.Float64(), 0.2*r.NormFloat64(), 0.03+0.02*r.Float64()
	var out []Source
	for w := 0; w < 2; w++ {
		s := Source{Name: []string{"left", "right"}[w], Kind: Undriven, Resolution: 0.03}
		own := 1 + 0.002*r.NormFloat64()
		for t := 0.05; t < 20; t += 0.01 {
			_, v, _ := d.at(t - 0.012)
			z := scale * own * v / (1 + growth*v*v) * (1 + 0.0015*r.NormFloat64())
			if v < 0.9 {
				z = 0
			}
			s.T, s.V = append(s.T, t), append(s.V, math.Round(z/0.03)*0.03)
		}
		out = append(out, s)
	}
	g := Source{Name: "satellite", Kind: Satellite, Resolution: 0.01}
	e := 0.0
	for t := 0.03; t < 20; t += 0.05 {
		phi := math.Exp(-0.05 / 0.9)
		e = phi*e + 0.06*math.Sqrt(1-phi*phi)*r.NormFloat64()
		_, v, _ := d.at(t - latency)
		g.T, g.V = append(g.T, t), append(g.V, math.Abs(v+e+0.04*r.NormFloat64()))
	}
	acc := Source{Name: "accelerometer", Kind: Accelerometer, Resolution: 0.01}
	lp := 0.0
	for t := 0.01; t < 20; t += 0.01 {
		_, _, a := d.at(t - 0.008)
		lp += (1 - math.Exp(-0.01/0.1)) * (a - lp)
		acc.T, acc.V = append(acc.T, t), append(acc.V, a+lean*lp+bias+0.15*r.NormFloat64())
	}
	return append(out, g, acc)
}

func solve(t *testing.T, d *drive, src []Source, shift float64) *Result {
	t.Helper()
	p := &Problem{Sources: src, From: shift, To: 19.5 + shift, RestTo: 1.983 + shift,
		Guess: func(u float64) float64 { _, v, _ := d.at(u - shift); return 1.02 * v }}
	r, err := Estimate(p)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestHonest: over made passes the stated 90 % intervals of speed, of the time to
// a mark and of the trap hold the truth 80 to 98 times in a hundred, and are of use.
func TestHonest(t *testing.T) {
	n := 40
	in := map[string]int{}
	total := map[string]int{}
	var worst float64
	for i := 0; i < n; i++ {
		d := makeDrive(uint64(i))
		r := solve(t, d, d.sensors(uint64(100+i)), 0)
		check := func(name string, err, sd float64) {
			total[name]++
			if math.Abs(err) <= 1.645*sd {
				in[name]++
			}
		}
		for _, u := range []float64{6, 10, 14, 18} {
			_, v, _ := d.at(u)
			_, got, _ := r.At(u)
			_, sv, _ := r.SD(u)
			check("speed", got-v, sv)
		}
		// a mark
		k := 0
		for d.x[k] < 600 {
			k++
		}
		k1 := 0
		for d.x[k1] < 0.3048 {
			k1++
		}
		got, ok := r.When(600)
		g1, ok1 := r.When(0.3048)
		if !ok || !ok1 {
			t.Fatal("mark not reached")
		}
		check("time", got-g1-(d.t[k]-d.t[k1]), r.Between(g1, got))
		worst = math.Max(worst, math.Abs(got-g1-(d.t[k]-d.t[k1])))
	}
	for name, c := range in {
		share := float64(c) / float64(total[name])
		t.Logf("%s: %d of %d in the 90 %% interval", name, c, total[name])
		if share < 0.75 || share > 0.995 {
			t.Errorf("%s: %.0f %% in the 90 %% interval", name, 100*share)
		}
	}
	if worst > 0.03 {
		t.Errorf("worst time error %.4f s", worst)
	}
}

// TestShiftedClock: the same readings on another clock give the same answer there.
func TestShiftedClock(t *testing.T) {
	d := makeDrive(3)
	src := d.sensors(5)
	r1 := solve(t, d, src, 0)
	for i := range src {
		tt := make([]float64, len(src[i].T))
		for j, u := range src[i].T {
			tt[j] = u + 54000
		}
		src[i].T = tt
	}
	r2 := solve(t, d, src, 54000)
	a, _ := r1.When(700)
	b, _ := r2.When(700)
	if math.Abs(b-54000-a) > 1e-3 {
		t.Errorf("mark at %.6f s, on the shifted clock at %.6f s", a, b-54000)
	}
}

// TestWorseSensorWidens: without the receiver intervals widen, and a reflection that
// lifts it by 3 m/s for a second moves the trap by less than its interval.
func TestWorseSensorWidens(t *testing.T) {
	d := makeDrive(4)
	src := d.sensors(9)
	r := solve(t, d, src, 0)
	_, sd, _ := r.SD(17)
	w := solve(t, d, append(append([]Source{}, src[:2]...), src[3]), 0)
	if _, sd2, _ := w.SD(17); sd2 < sd {
		t.Errorf("speed ± %.4f with the receiver, ± %.4f without", sd, sd2)
	}
	_, v, _ := r.At(17)
	bad := append([]Source{}, src...)
	g := Source{Name: "satellite", Kind: Satellite, T: src[2].T, V: append([]float64{}, src[2].V...), Resolution: 0.01}
	for i, u := range g.T {
		if u > 12 && u < 13 {
			g.V[i] += 3
		}
	}
	bad[2] = g
	b := solve(t, d, bad, 0)
	if _, v2, _ := b.At(17); math.Abs(v2-v) > 2*sd {
		t.Errorf("a reflection moved speed by %.3f m/s (± %.3f)", v2-v, sd)
	}
}

func TestNoSource(t *testing.T) {
	if _, err := Estimate(&Problem{From: 0, To: 10}); err != ErrNoSource {
		t.Errorf("got %v", err)
	}
}

func BenchmarkEstimate(b *testing.B) {
	d := makeDrive(1)
	src := d.sensors(2)
	for b.Loop() {
		p := &Problem{Sources: src, From: 0, To: 19.5, RestTo: 1.98, Guess: func(u float64) float64 { _, v, _ := d.at(u); return v }}
		if _, err := Estimate(p); err != nil {
			b.Fatal(err)
		}
	}
}
