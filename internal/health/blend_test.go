package health

import (
	"math"
	"math/rand/v2"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/physics/fuel"
)

// A level that moved with the blend between earlier passes must be known at this
// pass's own blend, and, where all earlier passes were on another, be in doubt by as
// much as the blend may move it.
func TestLearnBesideBlend(t *testing.T) {
	s := trial
	s.id, s.terms = "ignition", append([]term(nil), trial.terms...)
	const perEthanol, now = 0.3, 0.85
	passes := func(ethanol ...float64) (ds []*digest, apart []float64) {
		r := rand.New(rand.NewPCG(4, 5))
		for _, e := range ethanol {
			ds = append(ds, s.digestRows(trialRows(r, 2+perEthanol*e, -1.5, 0.02*r.NormFloat64(), 0, 0, 99)))
			apart = append(apart, e-now)
		}
		return ds, apart
	}
	for _, c := range []struct {
		name    string
		ethanol []float64
		doubt   [2]float64 // of the level, least and most
		tol     float64
	}{
		{"both blends seen", []float64{0.1, 0.85, 0.1, 0.85, 0.1, 0.85, 0.1, 0.85}, [2]float64{0.02, 0.25}, 0.08},
		{"only the other", []float64{0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1}, [2]float64{0.17, 0.4}, 0.3},
	} {
		ds, apart := passes(c.ethanol...)
		l := &look{spec: s}
		m := l.learnBeside(ds, nil, blendOnly(apart))
		want := 2 + perEthanol*now - 1.5*m.center[1]
		if len(m.coef) != 2 || len(m.cov) != 4 || math.Abs(m.coef[0]-want) > c.tol {
			t.Errorf("%s: level %.3f, want %.3f", c.name, m.coef[0], want)
		}
		if sd := math.Sqrt(m.cov[0]); sd < c.doubt[0] || sd > c.doubt[1] {
			t.Errorf("%s: doubt %.3f, want %v", c.name, sd, c.doubt)
		}
	}
	ds, apart := passes(0.1, 0.1, 0.1)
	s.id = "crankcase pressure" // cares for no blend
	if a, b := (&look{spec: s}).learnBeside(ds, nil, blendOnly(apart)), s.learn(ds, nil); a.coef[0] != b.coef[0] {
		t.Error("a relation that the blend does not move was moved")
	}
}

func blendOnly(apart []float64) []covariate {
	return []covariate{{name: "blend", apart: apart, level: func(l *look) float64 { return byWatch(blendMoves, l.id) }, slopes: overLoad}}
}

// Fuel asked for the air must be reckoned at the blend's stoichiometry: between
// gasoline and 85 % ethanol it differs by the ratio of air to fuel, 14.6 to about
// 9.8 (references/ethanol_blend.csv, tested in physics/fuel).
func TestFuelPerAir(t *testing.T) {
	at := func(e float64) float64 {
		f := &frame{ethanol: e, fuelIs: fuel.EthanolBlend(e, 0)}
		mass, _ := f.fuelPerAir()
		return mass
	}
	if d := math.Exp(at(0.85) - at(0)); math.Abs(d-1.49) > 0.03 {
		t.Errorf("E85 asks for %.2f times the fuel of gasoline, want 1.49", d)
	}
}

// blended is a screen that has looked: fuel over air off by size throughout, or from
// a row on, lambda still.
func blended(size float64, from int, sheet *car.Sheet, moved float64) *judge {
	j := &judge{frame: &frame{sheet: sheet, set: &source{Set: &dictionary.Set{}}}, past: make([]Summary, 3)}
	j.fuelIs, j.ethanol, _ = j.blendOf()
	rows := &rowset{P: 1}
	for i := range 40 {
		y := 0.004 * math.Sin(float64(7*i))
		if i >= from {
			y += size
		}
		rows.T, rows.X, rows.Y = append(rows.T, 0.2*float64(i)), append(rows.X, 1), append(rows.Y, y)
	}
	m := &model{coef: []float64{0}}
	look := func(id string) *look { return &look{spec: spec{id: id}, rows: rows} }
	j.obs = []*observation{{look: look("injectors over air"), model: m}, {look: look("lambda"), model: m, evidence: moved}}
	return j
}

func TestOtherBlendSupposed(t *testing.T) {
	e85 := &car.Sheet{Fuel: "E85", StoichAFR: 9.8}
	for _, c := range []struct {
		name  string
		j     *judge
		found bool
		want  float64
	}{
		{"less fuel, as for E40", blended(-0.235, 0, e85, 0), true, 0.40},
		{"more than any blend asks for", blended(0.4, 0, e85, 0), false, 0},
		{"from the middle on", blended(-0.235, 20, e85, 0), false, 0},
		{"with the mixture off too", blended(-0.235, 0, e85, 6), false, 0},
		{"hardly anything", blended(-0.02, 0, e85, 0), false, 0},
		{"methanol is no blend", blended(-0.235, 0, &car.Sheet{Fuel: "methanol"}, 0), false, 0},
	} {
		e, ok := c.j.otherBlend()
		if ok != c.found || math.Abs(e-c.want) > 0.08 {
			t.Errorf("%s: %.2f, %v", c.name, e, ok)
		}
	}
}

func TestBlendOf(t *testing.T) {
	f := &frame{sheet: &car.Sheet{Fuel: "E60"}, set: &source{Set: &dictionary.Set{}}, note: &car.PassNote{Ethanol: 0.83}}
	if _, e, measured := f.blendOf(); !measured || e != 0.83 {
		t.Errorf("the note's content: %v %v", e, measured)
	}
	f.note.Ethanol = math.NaN()
	if _, e, measured := f.blendOf(); measured || math.Abs(e-0.6) > 0.05 {
		t.Errorf("the sheet's fuel: %v %v", e, measured)
	}
	f.sheet = &car.Sheet{}
	if _, e, _ := f.blendOf(); !math.IsNaN(e) {
		t.Errorf("nobody knows the fuel: %v", e)
	}
}
