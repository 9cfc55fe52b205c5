package health

import (
	"math"

	"traplight/internal/num/stats"
)

// expected gives the coefficients that fit this pass's undisturbed rows, from the
// model's belief and the rows outside the disturbance that agree with it (Huber
// weights at 2.5 noise standard deviations).
func (o *observation) expected() []float64 {
	r, m, p := o.rows, o.model, o.rows.P
	prior := inverse(m.cov, p)
	coef := append([]float64(nil), m.coef...)
	k := m.rowPrecision()
	rough, of := r.rough(m.rough), r.ofLoad(o.hit.Shape)
	for range 6 {
		a := append([]float64(nil), prior...)
		g := make([]float64, p)
		for i, y := range r.Y {
			dt := r.T[i] - r.T[o.hit.At]
			if dt >= 0 && (o.hit.Shape.Last == 0 || dt < o.hit.Shape.Last) && of(i) != 0 {
				continue
			}
			row := r.X[i*p : i*p+p]
			e, e0 := y, y
			for j := range p {
				e -= row[j] * coef[j]
				e0 -= row[j] * m.coef[j]
			}
			rel := 1.0
			if rough != nil {
				rel = rough[i]
			}
			w := 1 / (rel * rel)
			if u := math.Abs(e) / (2.5 * m.noise * rel); u > 1 {
				w /= u * u
			}
			for x := range p {
				g[x] += k * w * row[x] * e0
				for y := range p {
					a[x*p+y] += k * w * row[x] * row[y]
				}
			}
		}
		cov := inverse(a, p)
		for x := range p {
			coef[x] = m.coef[x]
			for y := range p {
				coef[x] += cov[x*p+y] * g[y]
			}
		}
	}
	return coef
}

// cameBefore finds, on a first pass, when a departure came that is there from the first row
// that was compared: the rows before it, of low boost or another gear, were left out of the
// scan, but half of a departure tells on them too. ok is false when it was there on all.
func (o *observation) cameBefore(f *frame) (t float64, ok bool) {
	if o.wide == nil || o.model == nil || o.hit.Size == 0 {
		return 0, false
	}
	from := int((o.rows.T[0] - f.t[0]) / cell)
	gone, k := 0, -1
	for i := min(from, f.n-1); i >= 0 && f.t[i] > f.launch; i-- {
		if !o.wide[i] {
			continue
		}
		e := o.y[i] - o.predict(o.model.coef, i)
		switch {
		case math.IsNaN(e):
		case e/o.hit.Size > 0.5:
			gone, k = 0, i
		default:
			if gone++; gone >= cameCells {
				if k < 0 {
					k = min(from, f.n-1)
				}
				return f.t[k] - o.delay, true
			}
		}
	}
	return 0, false
}

// cameCells is for how many cells a departure must have been absent to have come later.
const cameCells = 25

func meanLoad(load []float64) float64 {
	s := 0.0
	for _, v := range load {
		s += v / float64(len(load))
	}
	return s
}

// departures are the cells' readings less what is expected, NaN where the look
// does not look.
func (o *observation) departures(f *frame) []float64 {
	coef := o.expected()
	out := filled(f.n, nan())
	for i := range out {
		if !o.mask[i] {
			continue
		}
		out[i] = o.y[i] - o.predict(coef, i)
	}
	return out
}

func (o *observation) predict(coef []float64, i int) float64 {
	v := coef[0]
	for j, x := range o.feats {
		v += coef[j+1] * (x[i] - o.model.center[j+1])
	}
	return v
}

// onset finds when the disturbance can first be seen: the first moment at which
// the departure, smoothed over 0.1 s, is beyond the visible size (or most of its
// peak, when the peak is smaller) and stays there for most of the next 0.2 s. A
// disturbance that comes and goes starts when it first comes.
func (o *observation) onset(f *frame) float64 {
	at := o.rows.T[o.hit.At]
	fallback := max(f.t[0], at-block*cell/2-o.delay)
	if o.whole {
		return fallback
	}
	s := o.sign()
	sm := smooth(o.departures(f), 2)
	var after []float64
	for i, v := range sm {
		if f.t[i] >= at-0.3 && !math.IsNaN(v) && (o.hit.Shape.Last == 0 || f.t[i] < at+o.hit.Shape.Last+0.3) {
			after = append(after, s*v)
		}
	}
	if len(after) == 0 {
		return fallback
	}
	peak := stats.Quantile(after, 0.9)
	if o.hit.Shape.Beyond > 0 {
		peak = math.Abs(o.hit.Size) // most of the time the load is not there
	}
	if peak <= 0 {
		return fallback
	}
	level := min(o.visible, 0.9*peak)
	// What noise alone reaches is no start.
	floor := 3 * o.model.noise * max(1.3, o.model.excess)
	if level < floor {
		level = min(floor, 0.9*peak)
	}
	latest := at + 3
	if o.hit.Shape.Beyond > 0 {
		latest = math.Inf(1) // the load may come late
	}
	for i, v := range sm {
		if math.IsNaN(v) || s*v < level || f.t[i] > latest || f.loose(i) && s*v < floor*o.model.rough && s*v < 0.9*peak {
			continue
		}
		n, over := 0, 0
		for k := i; k < f.n && n < 10 && k < i+25; k++ {
			if math.IsNaN(sm[k]) {
				continue
			}
			n++
			if s*sm[k] > 0.8*level {
				over++
			}
		}
		if n >= 5 && over*10 >= 8*n {
			return max(f.t[0], f.t[i]-o.delay)
		}
	}
	return fallback
}

// smooth is the running median over ±w cells, NaN where the middle is.
func smooth(x []float64, w int) []float64 {
	out := filled(len(x), nan())
	buf := make([]float64, 0, 2*w+1)
	for i := range x {
		if math.IsNaN(x[i]) {
			continue
		}
		buf = buf[:0]
		for k := max(0, i-w); k <= i+w && k < len(x); k++ {
			if !math.IsNaN(x[k]) {
				buf = append(buf, x[k])
			}
		}
		out[i] = smallMedian(buf)
	}
	return out
}
