package health

// covariate is something that differs from pass to pass and is no fault: the fuel,
// the weather, the recorder. The level of a watch, and some of its slopes, may have
// moved with it by amounts that nobody knows beforehand.
type covariate struct {
	name  string
	apart []float64 // by earlier pass: its covariate less that of the pass to be judged
	// level is by how much the watch's level may move for one unit of it, standard
	// deviation, unit of the watch; 0 when the watch does not care.
	level func(l *look) float64
	// slopes says by how much a term's coefficient may move, with that level.
	slopes func(t term, level float64) float64
}

// overLoad lets the slopes over load move by half of what the level does.
func overLoad(t term, level float64) float64 {
	switch t.name {
	case "boost", "air", "speed":
		return level / 2
	}
	return 0
}

// wanderShare is the share of a covariate's own say that may change from pass to pass.
const wanderShare = 1.0 / 30

// learnBeside is learn where passes differ in covariates, whose values apart hold
// one for each digest. The model is that of the pass to be judged, its doubt in cov.
func (l *look) learnBeside(ds []*digest, own *digest, cs []covariate) *model {
	p := len(l.terms)
	wide := l.spec
	wide.terms = append([]term(nil), l.terms...)
	var of, by []int
	for k, c := range cs {
		move := c.level(l)
		if move == 0 {
			continue
		}
		for j, t := range l.terms {
			sd := move
			if j > 0 {
				sd = c.slopes(t, move)
			}
			if sd > 0 {
				of, by = append(of, j), append(by, k)
				wide.terms = append(wide.terms, term{c.name + " " + t.name, 0, sd, sd * wanderShare})
			}
		}
	}
	if len(of) == 0 || len(ds) == 0 {
		return l.learn(ds, own)
	}
	more := make([]*digest, len(ds))
	for i, d := range ds {
		if d != nil && len(d.XY) == p {
			a := make([]float64, len(by))
			for x, k := range by {
				a[x] = cs[k].apart[i]
			}
			more[i] = d.beside(of, a)
		}
	}
	return wide.learn(more, own).narrowed(p)
}

// byWatch looks a watch up by its id or, where it is one of several, by the
// beginning; 0 where the table does not name it.
func byWatch(table map[string]float64, id string) float64 {
	if v, ok := table[id]; ok {
		return v
	}
	for k, v := range table {
		if (role{watch: k}).covers(id) {
			return v
		}
	}
	return 0
}

// beside gives the digest further columns: those listed in of, times a each.
func (d *digest) beside(of []int, a []float64) *digest {
	p := len(d.XY)
	n := p + len(of)
	out := *d
	out.XX, out.XY = make([]float64, n*n), make([]float64, n)
	from := func(j int) (col int, by float64) {
		if j < p {
			return j, 1
		}
		return of[j-p], a[j-p]
	}
	for x := range n {
		i, bi := from(x)
		out.XY[x] = bi * d.XY[i]
		for y := range n {
			k, bk := from(y)
			out.XX[x*n+y] = bi * bk * d.XX[i*p+k]
		}
	}
	return &out
}

// narrowed is the model at the place where the columns beyond the first p are
// nought: what they said of the level goes into the constant.
func (m *model) narrowed(p int) *model {
	n := len(m.coef)
	t := make([]float64, p*n) // b' = T·b
	for j := range p {
		t[j*n+j] = 1
	}
	for x := p; x < n; x++ {
		t[x] = -m.center[x]
	}
	out := *m
	out.coef, out.cov = make([]float64, p), make([]float64, p*p)
	for i := range p {
		for x := range n {
			out.coef[i] += t[i*n+x] * m.coef[x]
			for k := range p {
				for y := range n {
					out.cov[i*p+k] += t[i*n+x] * m.cov[x*n+y] * t[k*n+y]
				}
			}
		}
	}
	out.center, out.wander = m.center[:p], m.wander[:p]
	return &out
}
