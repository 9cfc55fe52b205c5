package health

import (
	"math"
	"math/rand/v2"
	"testing"
)

var trial = spec{
	id: "trial", title: "a trial", terms: []term{{"", 0, 10, 0.3}, {"x", 0, 5, 0.2}}, noise: 0.1, corr: 0.2, small: 0.3, visible: 0.4, shapes: usual,
}

// trialRows makes a pass of a known law: y = (a+da) + (b+db)·x + noise, x around
// off the origin, and a step of size at row onset.
func trialRows(r *rand.Rand, a, b, da, db, step float64, onset int) *rowset {
	rs := &rowset{P: 2}
	for i := range 80 {
		x := 5 + math.Sin(float64(i)/7)
		y := a + da + b*x + db*(x-5) + 0.1*r.NormFloat64()
		if i >= onset {
			y += step
		}
		rs.T = append(rs.T, float64(i)*0.2)
		rs.Y = append(rs.Y, y)
		rs.X = append(rs.X, 1, x)
		rs.Load = append(rs.Load, 1)
	}
	return rs
}

// The mixed model must give back the law, the passes' wander and the noise, each
// within what the number of passes allows.
func TestLearnRecovers(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 5))
	var ds []*digest
	for range 30 {
		ds = append(ds, trial.digestRows(trialRows(r, 2, -1.5, 0.3*r.NormFloat64(), 0.2*r.NormFloat64(), 0, 99)))
	}
	m := trial.learn(ds, nil)
	level := 2 - 1.5*m.center[1]
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		{"level", m.coef[0], level, 0.2}, {"slope", m.coef[1], -1.5, 0.15}, {"noise", m.noise, 0.1, 0.02},
		{"wander of the level", m.wander[0], 0.3, 0.1}, {"wander of the slope", m.wander[1], 0.2, 0.08}, {"centre", m.center[1], 5, 0.2},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s %.3f, want %.3f ± %.3f", c.name, c.got, c.want, c.tol)
		}
	}
	if m.passes < 25 || m.passes > 30 {
		t.Errorf("rests on %.1f passes of 30", m.passes)
	}
}

// One wild pass in eight must lose its say, and the next pass's step be found
// where it is.
func TestOddPassLosesItsSay(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 5))
	var ds []*digest
	for i := range 8 {
		da := 0.1 * r.NormFloat64()
		if i == 3 {
			da = 12
		}
		ds = append(ds, trial.digestRows(trialRows(r, 2, -1.5, da, 0, 0, 99)))
	}
	m := trial.learn(ds, nil)
	if level := 2 - 1.5*m.center[1]; math.Abs(m.coef[0]-level) > 0.5 {
		t.Errorf("level %.2f, want %.2f: a wild pass pulls it", m.coef[0], level)
	}
	if m.passes > 7.4 {
		t.Errorf("the wild pass still counts: %.2f passes", m.passes)
	}
}

func TestObserveFindsAStep(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 5))
	var ds []*digest
	for range 6 {
		ds = append(ds, trial.digestRows(trialRows(r, 2, -1.5, 0.3*r.NormFloat64(), 0, 0, 99)))
	}
	m := trial.learn(ds, nil)
	for _, c := range []struct {
		step  float64
		onset int
	}{{-0.8, 30}, {0.8, 55}, {-3, 8} /* most of the pass is disturbed */} {
		o := observe(&look{spec: trial, rows: trialRows(r, 2, -1.5, 0.1, 0, c.step, c.onset)}, m)
		if o.evidence < 5 || math.Abs(float64(o.hit.At-c.onset)) > 1 || math.Abs(o.hit.Size/c.step-1) > 0.25 {
			t.Errorf("step %g at row %d: found %+v, evidence %.1f", c.step, c.onset, o.hit, o.evidence)
		}
	}
	quiet := 0
	for range 200 {
		if o := observe(&look{spec: trial, rows: trialRows(r, 2, -1.5, 0.3*r.NormFloat64(), 0.2*r.NormFloat64(), 0, 99)}, m); o.evidence < 2 {
			quiet++
		}
	}
	if quiet < 190 {
		t.Errorf("of 200 healthy passes only %d are quiet", quiet)
	}
}

// Digests in centred columns must be those of centred rows.
func TestCentredDigest(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 5))
	rs := trialRows(r, 2, -1.5, 0, 0, 0, 99)
	c := []float64{0, 4.7}
	a := trial.digestRows(rs).centred(c)
	var xx, xy float64
	b := rs.centred(c)
	for i := range b.Y {
		xx += b.X[2*i+1] * b.X[2*i+1]
		xy += b.X[2*i+1] * b.Y[i]
	}
	// Few rows are down-weighted, so the sums agree to a few per cent.
	if math.Abs(a.XX[3]/xx-1) > 0.1 || math.Abs(a.XY[1]/xy-1) > 0.2 {
		t.Errorf("XX %.3f want %.3f; XY %.3f want %.3f", a.XX[3], xx, a.XY[1], xy)
	}
}

// Only the rows' part of a size's doubt was seen too small on healthy passes; what
// wanders from pass to pass is learnt as it is.
func TestExcessWidensRowsNoiseOnly(t *testing.T) {
	m := &model{excess: 2, passes: 7}
	for _, c := range []struct{ share, want float64 }{{0, 1}, {1, 2}, {0.5, math.Sqrt(2.5)}} {
		if got := m.larger(c.share); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("noise share %g: Z is larger by %g, want %g", c.share, got, c.want)
		}
	}
	if got := (&model{excess: 2}).larger(0); got != 2 {
		t.Errorf("without earlier passes: %g, want the table's 2", got)
	}
}
