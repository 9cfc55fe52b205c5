package changepoint

import (
	"errors"
	"math"
)

// ErrPrior says that a prior covariance is not positive definite.
var ErrPrior = errors.New("changepoint: prior covariance is not positive definite")

// Shape is how a disturbance grows and ends. The zero Shape is a step that stays.
type Shape struct {
	Rise   float64 // time from nothing to full size, linear, unit of T; 0: at once
	Last   float64 // time from onset to end, unit of T; 0: it stays
	ByLoad bool    // in proportion to Load
	// Beyond, 1, with ByLoad: in proportion to what Load is over this share of the largest
	// Load, and of full size there: what gives out at its end. 0: to all of it.
	Beyond float64
}

// OfLoad is by how much a ByLoad shape counts, 1, at a load, 1, whose mean is 1 and whose
// largest is top.
func (s Shape) OfLoad(load, top float64) float64 {
	if s.Beyond == 0 {
		return load
	}
	return max(0, load/top-s.Beyond) / (1 - s.Beyond)
}

// Series is a series with what is known of it: y = X·b + noise, b normal with
// PriorMean and PriorCov, noise of standard deviation Noise whose correlation
// falls as exp(−Δt/Corr).
type Series struct {
	T []float64 // place of each row, strictly increasing, any unit
	Y []float64 // unit of the series
	X []float64 // n×p row by row, unit of Y over the coefficient's; nil with p = 0
	P int       // columns of X
	// PriorMean and PriorCov (p×p row by row) are the belief about the
	// coefficients, unit of Y over the column's.
	PriorMean, PriorCov []float64
	Noise               float64   // unit of Y
	Corr                float64   // unit of T; 0: independent
	Load                []float64 // for Shape.ByLoad, unit 1, mean about 1; nil: none
	// Rough is how many times Noise a row scatters, 1; nil: once, all of them.
	Rough []float64
}

// Hit is a disturbance: its shape, its place and its size.
type Hit struct {
	Shape Shape
	At    int     // first row of the disturbance
	Size  float64 // unit of Y (at Load 1 when by load, at the largest one when beyond a share of it)
	SD    float64 // unit of Y, with the coefficients' uncertainty
	Z     float64 // 1, Size over SD
	// Noise is the share of SD² that comes from the rows' noise, 1; the rest comes
	// from what is not known of the coefficients.
	Noise float64
}

// Scanner is a Series made ready: whitened and factored. It holds no reference
// to the Series' slices but T, Load and Rough.
type Scanner struct {
	t, load []float64
	top     float64 // the largest load, 1
	n, p    int
	rough   []float64 // 1; nil: all 1
	decay   []float64 // correlation with the row before, 1
	scale   []float64 // 1/(noise·√(1−decay²))
	y       []float64 // whitened y − X·prior mean
	x       []float64 // whitened X, n×p
	l       []float64 // Cholesky factor of PriorCov⁻¹ + XᵀX
	cy      []float64 // L⁻¹Xᵀy

	tails map[Shape][]float64 // see tailFrom
}

// Ready prepares s; it panics when lengths disagree or T does not rise. ErrPrior
// where PriorCov cannot be inverted.
func (s Series) Ready() (*Scanner, error) {
	n, p := len(s.Y), s.P
	if len(s.T) != n || len(s.X) != n*p || len(s.PriorMean) != p || len(s.PriorCov) != p*p ||
		(s.Load != nil && len(s.Load) != n) || (s.Rough != nil && len(s.Rough) != n) {
		panic("changepoint: series of different lengths")
	}
	k := &Scanner{t: s.T, load: s.Load, n: n, p: p, tails: map[Shape][]float64{}}
	for _, v := range s.Load {
		k.top = max(k.top, v)
	}
	k.decay, k.scale, k.rough = make([]float64, n), make([]float64, n), s.Rough
	for i := range n {
		if i > 0 {
			dt := s.T[i] - s.T[i-1]
			if !(dt > 0) {
				panic("changepoint: places do not rise")
			}
			if s.Corr > 0 {
				k.decay[i] = math.Exp(-dt / s.Corr)
			}
		}
		k.scale[i] = 1 / (s.Noise * math.Sqrt(1-k.decay[i]*k.decay[i]))
	}
	r := make([]float64, n)
	for i := range n {
		r[i] = s.Y[i]
		for j := range p {
			r[i] -= s.X[i*p+j] * s.PriorMean[j]
		}
	}
	k.y = k.whiten(r)
	k.x = make([]float64, n*p)
	col := make([]float64, n)
	for j := range p {
		for i := range n {
			col[i] = s.X[i*p+j]
		}
		for i, v := range k.whiten(col) {
			k.x[i*p+j] = v
		}
	}
	inv, ok := invert(s.PriorCov, p)
	if !ok {
		return nil, ErrPrior
	}
	for i := range n {
		row := k.x[i*p : i*p+p]
		for a := range p {
			for b := 0; b <= a; b++ {
				inv[a*p+b] += row[a] * row[b]
			}
		}
	}
	if k.l, ok = cholesky(inv, p); !ok {
		return nil, ErrPrior
	}
	k.cy = make([]float64, p)
	k.project(k.cy, k.y, 0)
	return k, nil
}

// At tests one shape with its onset at row at; ok is false when the shape does
// not touch the series or cannot be told from the coefficients.
func (k *Scanner) At(s Shape, at int) (h Hit, ok bool) {
	v, c := make([]float64, k.n), make([]float64, k.p)
	if h, ok = k.at(s, at, v, c, true); ok {
		h.Noise = k.noiseShare(h, v, c)
	}
	return h, ok
}

// noiseShare is the part of a size's variance that the rows' noise makes. The size
// is wᵀy with w = (v − X(PriorCov⁻¹ + XᵀX)⁻¹Xᵀv)·SD² for the whitened shape v, and
// the whitened noise has unit variance, so that this part is wᵀw.
func (k *Scanner) noiseShare(h Hit, v, c []float64) float64 {
	b := append([]float64(nil), c...)
	backward(k.l, b, k.p)
	ss := 0.0
	for i := range k.n {
		w := 0.0
		if i >= h.At {
			w = v[i]
		}
		for j, x := range k.x[i*k.p : i*k.p+k.p] {
			w -= x * b[j]
		}
		ss += w * w
	}
	return min(1, ss*h.SD*h.SD)
}

// at is At without the noise's share. v and c are room for n and p numbers; v receives the
// whitened shape, where it is only asked for its fit (a scan) up to the row from which the
// rest is known.
func (k *Scanner) at(s Shape, at int, v, c []float64, whole bool) (h Hit, ok bool) {
	h = Hit{Shape: s, At: at}
	if s.ByLoad && (k.load == nil || s.Beyond > 0 && !(k.top > 0)) {
		return h, false
	}
	var ss, sy, last float64
	touched := false
	clear(c)
	// add takes in row i, whose part of the shape is cur.
	add := func(i int, cur float64) {
		cur = k.over(cur, i)
		w := cur * k.scale[i]
		if i > at {
			w -= k.decay[i] * last * k.scale[i]
		}
		last = cur
		v[i] = w
		ss += w * w
		sy += w * k.y[i]
		touched = touched || cur != 0
		if w != 0 {
			for j, x := range k.x[i*k.p : i*k.p+k.p] {
				c[j] += x * w
			}
		}
	}
	full := 0 // rows since the shape has come to its full size
	for i := at; i < k.n; i++ {
		dt := k.t[i] - k.t[at]
		if s.Last > 0 && dt >= s.Last {
			// It is over; what follows the row after is nothing.
			add(i, 0)
			if !whole {
				break
			}
			continue
		}
		cur := 1.0
		if s.Rise > 0 {
			// Half a row's time on the way, so that the onset's own row counts.
			cur = min(1, (dt+s.Rise/8)/s.Rise)
		}
		if cur == 1 {
			full++
		}
		if full > 1 && s.Last == 0 && !whole {
			t := k.tailFrom(s, i)
			ss += t[0]
			sy += t[1]
			for j, x := range t[2:] {
				c[j] += x
			}
			touched = touched || t[0] > 0
			break
		}
		if s.ByLoad {
			cur *= s.OfLoad(k.load[i], k.top)
		}
		add(i, cur)
	}
	if !touched {
		return h, false
	}
	forward(k.l, c, k.p)
	info, lin := ss, sy
	for j := range c {
		info -= c[j] * c[j]
		lin -= c[j] * k.cy[j]
	}
	if !(info > 1e-9*ss) {
		return h, false
	}
	h.Size, h.SD = lin/info, 1/math.Sqrt(info)
	h.Z = lin / math.Sqrt(info)
	return h, true
}

// tailFrom gives the sums over the rows from i on, of a disturbance that was and stays at its
// full size: of its squares, of its products with y, and with each column.
func (k *Scanner) tailFrom(s Shape, i int) []float64 {
	which, width := Shape{ByLoad: s.ByLoad, Beyond: s.Beyond}, 2+k.p
	if k.tails[which] == nil {
		full := func(i int) float64 {
			if s.ByLoad {
				return k.over(s.OfLoad(k.load[i], k.top), i)
			}
			return k.over(1, i)
		}
		sums := make([]float64, (k.n+1)*width)
		for i := k.n - 1; i > 0; i-- {
			w := (full(i) - k.decay[i]*full(i-1)) * k.scale[i]
			into, after := sums[i*width:i*width+width], sums[(i+1)*width:(i+2)*width]
			into[0] = after[0] + w*w
			into[1] = after[1] + w*k.y[i]
			for j, x := range k.x[i*k.p : i*k.p+k.p] {
				into[2+j] = after[2+j] + w*x
			}
		}
		k.tails[which] = sums
	}
	return k.tails[which][i*width : i*width+width]
}

// Scan tries every shape at every row and returns the hit of the largest |Z|,
// and the largest Z², 1, by row of onset. ok is false for a series without rows.
func (k *Scanner) Scan(shapes []Shape) (best Hit, profile []float64, ok bool) {
	profile = make([]float64, k.n)
	v, c := make([]float64, k.n), make([]float64, k.p)
	for at := range k.n {
		for _, s := range shapes {
			h, fine := k.at(s, at, v, c, false)
			if !fine {
				continue
			}
			profile[at] = max(profile[at], h.Z*h.Z)
			if !ok || math.Abs(h.Z) > math.Abs(best.Z) {
				best, ok = h, true
			}
		}
	}
	if ok {
		best, ok = k.At(best.Shape, best.At)
	}
	return best, profile, ok
}

// Coef is the posterior mean of the coefficients' departure from PriorMean when
// there is no disturbance, unit of Y over the column's.
func (k *Scanner) Coef() []float64 {
	c := append([]float64(nil), k.cy...)
	backward(k.l, c, k.p)
	return c
}
