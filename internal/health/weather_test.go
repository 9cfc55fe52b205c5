package health

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Beyond the conditions seen the level must be in doubt by the bend's slope times the
// distance, and within them not at all.
func TestReachGrowsWithDistance(t *testing.T) {
	s := trial
	s.terms = append([]term(nil), trial.terms...)
	s.terms[1].name = "boost"
	r := rand.New(rand.NewPCG(1, 2))
	var ds []*digest
	for range 6 {
		ds = append(ds, s.digestRows(trialRows(r, 2, -1.5, 0, 0, 0, 99)))
	}
	m := s.learn(ds, nil)
	for _, c := range []struct{ shift, want float64 }{{0, 0}, {1, 1}, {3, 3}} {
		rows := trialRows(r, 2, -1.5, 0, 0, 0, 99)
		for i := range rows.Y {
			rows.X[i*rows.P+1] += c.shift
		}
		l := &look{spec: s, rows: rows}
		x := seen(ds, 2)
		x.find(l, &frame{}, 0)
		got := 0.0
		_, high := rows.rangeOf()
		for _, b := range x.bends {
			if b.up {
				got = (high[1] - b.edge) * math.Sqrt(m.reaching(x).cov[(2)*(2+len(x.bends))+2])
			}
		}
		if want := c.want * bendShare * s.terms[1].sd; math.Abs(got-want) > 0.15*bendShare*s.terms[1].sd {
			t.Errorf("shifted by %g: doubt %.3f, want %.3f", c.shift, got, want)
		}
	}
}

// Passes read by another recorder must leave the level in doubt; those of the same
// one must not.
func TestRecorderStep(t *testing.T) {
	s := trial
	s.terms = append([]term(nil), trial.terms...)
	r := rand.New(rand.NewPCG(3, 4))
	doubt := func(channels ...string) float64 {
		was := s
		was.channels = channels
		var ds []*digest
		for range 6 {
			ds = append(ds, was.digestRows(trialRows(r, 2, -1.5, 0, 0, 0, 99)))
		}
		l := &look{spec: s}
		l.channels = []string{"oil p"}
		var cs []covariate
		if c := l.recorderApart(ds); c != nil {
			cs = append(cs, *c)
		}
		return math.Sqrt(l.learnBeside(ds, nil, cs).cov[0])
	}
	same, other := doubt("oil p"), doubt("Öldruck")
	if want := recorderLevel * s.small; other < 0.8*want || same > other/3 {
		t.Errorf("level known to %.3f with the same recorder, %.3f with another, want about %.3f there", same, other, want)
	}
}
