package banded

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"traplight/internal/reftest"

	"gonum.org/v1/gonum/mat"
)

// randomSystem fills a system and its dense twin with the same rows.
func randomSystem(n, w, p int, seed uint64) (*System, *mat.SymDense, *mat.VecDense) {
	r := rand.New(rand.NewPCG(seed, 1))
	s := New(n, w, p)
	m := n + p
	dense := mat.NewSymDense(m, nil)
	rhs := mat.NewVecDense(m, nil)
	add := func(row *Row, res, wt float64) {
		s.Add(row, res, wt)
		full := make([]float64, m)
		for i, c := range row.Col {
			full[c] = row.J[i]
		}
		for i, c := range row.PCol {
			full[n+c] = row.PJ[i]
		}
		v := mat.NewVecDense(m, full)
		dense.SymRankOne(dense, wt, v)
		rhs.AddScaledVec(rhs, wt*res, v)
	}
	for i := 0; i < n; i++ {
		row := &Row{}
		for k := i; k <= min(n-1, i+w); k++ {
			row.Col = append(row.Col, k)
			row.J = append(row.J, r.NormFloat64())
		}
		for k := 0; k < p; k++ {
			row.PCol = append(row.PCol, (k+i)%p) // in any order
			row.PJ = append(row.PJ, r.NormFloat64())
		}
		add(row, r.NormFloat64(), 0.5+r.Float64())
		add(&Row{Col: []int{i}, J: []float64{1}}, r.NormFloat64(), 1)
	}
	for k := 0; k < p; k++ {
		add(&Row{PCol: []int{k}, PJ: []float64{1}}, 0, 0.1)
	}
	return s, dense, rhs
}

// TestAddTwo holds two rows at a time against one after the other.
func TestAddTwo(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	one, two := New(8, 3, 3), New(8, 3, 3)
	for at := range 5 {
		var rows [2]Row
		var res, wt [2]float64
		for k := range rows {
			row := &rows[k]
			row.Col, row.PCol = []int{at, at + 1, at + 3}, []int{2, 0, 1}
			for range 3 {
				row.J, row.PJ = append(row.J, r.NormFloat64()), append(row.PJ, r.NormFloat64())
			}
			res[k], wt[k] = r.NormFloat64(), r.Float64()
			one.Add(row, res[k], wt[k])
		}
		two.AddTwo(&rows[0], &rows[1], res, wt)
	}
	for _, c := range [][2][]float64{{one.a, two.a}, {one.b, two.b}, {one.c, two.c}, {one.g, two.g}, {one.h, two.h}} {
		for i, v := range c[0] {
			if math.Abs(v-c[1][i]) > 1e-12 {
				t.Fatalf("element %d: %g one by one, %g together", i, v, c[1][i])
			}
		}
	}
}

// TestAgainstDense holds solution and covariances against gonum's dense Cholesky.
func TestAgainstDense(t *testing.T) {
	for _, c := range []struct{ n, w, p int }{{30, 3, 0}, {40, 5, 4}, {25, 1, 3}} {
		s, dense, rhs := randomSystem(c.n, c.w, c.p, uint64(c.n))
		if err := s.Factor(); err != nil {
			t.Fatal(err)
		}
		x, p := s.Solve()
		var ch mat.Cholesky
		if !ch.Factorize(dense) {
			t.Fatal("dense factorisation refused")
		}
		var want mat.VecDense
		if err := ch.SolveVecTo(&want, rhs); err != nil {
			t.Fatal(err)
		}
		got := append(append([]float64{}, x...), p...)
		for i := range got {
			if math.Abs(got[i]-want.AtVec(i)) > 1e-9*(1+math.Abs(want.AtVec(i))) {
				t.Fatalf("%+v: unknown %d: %g, dense %g", c, i, got[i], want.AtVec(i))
			}
		}
		var inv mat.SymDense
		if err := ch.InverseTo(&inv); err != nil {
			t.Fatal(err)
		}
		iv := s.Inverse()
		for i := 0; i < c.n; i++ {
			if got, want := iv.Var([]int{i}, []float64{1}, nil, nil), inv.At(i, i); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%+v: variance %d: %g, dense %g", c, i, got, want)
			}
			f := s.Whiten([]float64{1}, nil, i)
			g := s.Whiten([]float64{1}, nil, c.n-1)
			if got, want := Cov(f, g), inv.At(i, c.n-1); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%+v: covariance %d: %g, dense %g", c, i, got, want)
			}
		}
		if c.p > 1 {
			got := iv.Var([]int{3, 4}, []float64{1, -2}, []int{1}, []float64{0.5})
			v := mat.NewVecDense(c.n+c.p, nil)
			v.SetVec(3, 1)
			v.SetVec(4, -2)
			v.SetVec(c.n+1, 0.5)
			if want := mat.Inner(v, &inv, v); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%+v: mixed variance %g, dense %g", c, got, want)
			}
		}
	}
}

func TestUndetermined(t *testing.T) {
	s := New(3, 1, 0)
	s.Add(&Row{Col: []int{0}, J: []float64{1}}, 1, 1)
	if err := s.Factor(); err != ErrNotPositive {
		t.Fatalf("got %v", err)
	}
}

// TestNile holds the smoother against the published local level model of the
// Nile data: Durbin and Koopman, Time Series Analysis by State Space Methods
// (2001), variances 15099 and 1469.1; smoothed level and variance as computed by
// R's and statsmodels' smoothers (references/nile_local_level.csv, trust A).
func TestNile(t *testing.T) {
	f, err := os.Open(reftest.Path(t, "references", "nile_local_level.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, h := range rows[0] {
		col[h] = i
	}
	num := func(r []string, name string) float64 {
		i, ok := col[name]
		if !ok {
			t.Fatalf("no column %q in %v", name, rows[0])
		}
		v, err := strconv.ParseFloat(r[i], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	rows = rows[1:]
	n := len(rows)
	s := New(n, 1, 0)
	for i, r := range rows {
		s.Add(&Row{Col: []int{i}, J: []float64{1}}, num(r, "y"), 1/15099.0)
		if i > 0 {
			s.Add(&Row{Col: []int{i - 1, i}, J: []float64{-1, 1}}, 0, 1/1469.1)
		}
	}
	if err := s.Factor(); err != nil {
		t.Fatal(err)
	}
	x, _ := s.Solve()
	iv := s.Inverse()
	for i, r := range rows {
		if want := num(r, "smoothed"); math.Abs(x[i]-want) > 1e-4 {
			t.Errorf("year %d: level %.4f, published %.4f", i, x[i], want)
		}
		if want := num(r, "smoothed_var"); math.Abs(iv.Var([]int{i}, []float64{1}, nil, nil)-want) > 1e-3*want {
			t.Errorf("year %d: variance %.2f, published %.2f", i, iv.Var([]int{i}, []float64{1}, nil, nil), want)
		}
	}
}
