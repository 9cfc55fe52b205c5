package health

import (
	"math"

	"traplight/internal/num/robust"
	"traplight/internal/num/stats"
)

// digest is what a watch keeps of one pass: the normal equations of its rows,
// enough to learn the car's model without the rows. It is plain data.
type digest struct {
	XX    []float64 `json:"xx"`    // p×p, weighted
	XY    []float64 `json:"xy"`    // p
	YY    float64   `json:"yy"`    // weighted
	N     float64   `json:"n"`     // sum of weights, rows
	Scale float64   `json:"scale"` // robust residual SD about the pass's own fit, unit of the watch
	Corr  float64   `json:"corr"`  // lag-one correlation of those residuals, 1
	Span  float64   `json:"span"`  // s between neighbouring rows, median
	Mean  float64   `json:"mean"`  // mean reading, unit of the watch
	// Rough is how many times the other rows' scatter that of the loose rows is, 1
	// or more.
	Rough float64 `json:"rough"`
	// Peak is the largest |Z| that a scan of the pass's firm rows by themselves
	// finds, 1: what is usual on this car when nothing is wrong.
	Peak float64 `json:"peak"`
	// Spell is what a second's mean strays from the pass's own fit, unit of the watch.
	Spell float64 `json:"spell,omitempty"`
	// Low and High are the range of each column, unit of the column.
	Low  []float64 `json:"low,omitempty"`
	High []float64 `json:"high,omitempty"`
	From string    `json:"from,omitempty"` // channels read, by their names in the log
	// Given is the watch's given; empty in what earlier versions kept.
	Given string `json:"given,omitempty"`
}

// digestRows fits a pass by itself, robustly, with the watch's prior, and keeps
// the weighted normal equations.
func (s *spec) digestRows(r *rowset) *digest {
	p, n := r.P, r.len()
	if n < 4 {
		return nil
	}
	prior := &robust.Prior{Mean: make([]float64, p), SD: make([]float64, p), Scale: s.noise}
	for j, t := range s.terms {
		prior.Mean[j], prior.SD[j] = t.mean, math.Hypot(t.sd, t.wander)
	}
	fit, rough, ratio, err := s.fitRows(r, prior)
	if err != nil {
		return nil
	}
	d := &digest{XX: make([]float64, p*p), XY: make([]float64, p), Scale: fit.Scale, Rough: ratio, From: s.from(), Given: s.given}
	d.Low, d.High = r.rangeOf()
	var num, den, last float64
	var gaps []float64
	left := make([]float64, n)
	for i := range n {
		w, rel := fit.Weight[i], 1.0
		if rough != nil {
			rel = rough[i]
			w /= rel * rel
		}
		row := r.X[i*p : i*p+p]
		e := r.Y[i]
		for j := range p {
			e -= row[j] * fit.Coef[j]
			d.XY[j] += w * row[j] * r.Y[i]
			for k := range p {
				d.XX[j*p+k] += w * row[j] * row[k]
			}
		}
		left[i] = e
		d.YY += w * r.Y[i] * r.Y[i]
		d.N += w
		d.Mean += r.Y[i] / float64(n)
		e = max(-3*fit.Scale, min(3*fit.Scale, e/rel))
		den += e * e
		if i > 0 {
			gap := r.T[i] - r.T[i-1]
			gaps = append(gaps, gap)
			if gap < 1.5*block*cell {
				num += e * last
			}
		}
		last = e
	}
	if den > 0 {
		d.Corr = num / den
	}
	d.Span = stats.Median(gaps)
	d.Peak = s.ownPeak(r, d)
	if s.spell > 0 {
		d.Spell = r.spellOf(left)
	}
	return d
}

// ownPeak scans a pass by itself with its own noise.
func (s *spec) ownPeak(r *rowset, d *digest) float64 {
	m := s.learn(nil, d)
	m.noise, m.corr = s.ownNoise(d)
	m.rough = max(1, d.Rough)
	h, _, ok := scanRows(r.firm().centred(m.center), s.shapes, m)
	if !ok {
		return 0
	}
	return math.Abs(h.Z)
}

// firm keeps the rows that are not loose, or all when they are too few to scan.
func (r *rowset) firm() *rowset {
	out := &rowset{P: r.P}
	for i, l := range r.Loose {
		if l {
			continue
		}
		out.T, out.Y, out.Loose = append(out.T, r.T[i]), append(out.Y, r.Y[i]), append(out.Loose, false)
		out.X = append(out.X, r.X[i*r.P:(i+1)*r.P]...)
		if r.Load != nil {
			out.Load = append(out.Load, r.Load[i])
		}
	}
	if out.len() < 12 {
		return r
	}
	return out
}

// ownNoise is a pass's own noise, unit of the watch, and correlation time, s.
func (s *spec) ownNoise(d *digest) (noise, corr float64) {
	rho := max(0.02, min(0.9, d.Corr))
	return max(d.Scale, s.noise/4), -block * cell / math.Log(rho)
}

// roughest is the largest ratio of scatters believed.
const roughest = 8.0

// fitRows fits a pass twice: once with all rows alike, from which the loose rows'
// scatter over the others' follows, and again with each row over its scatter.
func (s *spec) fitRows(r *rowset, prior *robust.Prior) (fit robust.Fit, rough []float64, ratio float64, err error) {
	c := robust.Config{Prior: prior, MinScale: s.noise / 3, Iterations: 12, Tolerance: 1e-4}
	fit, err = robust.Regress(r.X, r.Y, r.P, c)
	if err != nil || r.rough(2) == nil {
		return fit, nil, 1, err
	}
	ratio = 1
	for range 2 {
		var loose, firm []float64
		for i, y := range r.Y {
			for j, b := range fit.Coef {
				y -= b * r.X[i*r.P+j]
			}
			if r.Loose[i] {
				loose = append(loose, math.Abs(y))
			} else {
				firm = append(firm, math.Abs(y))
			}
		}
		if len(loose) < 5 || len(firm) < 10 {
			break
		}
		// Large errors count here, so the 0.75 quantile and not the median.
		ratio = max(1, min(roughest, stats.Quantile(loose, 0.75)/max(stats.Quantile(firm, 0.75), s.noise/3)))
		if rough = r.rough(ratio); rough == nil {
			break
		}
		x, y := make([]float64, len(r.X)), make([]float64, len(r.Y))
		for i, v := range rough {
			y[i] = r.Y[i] / v
			for j := range r.P {
				x[i*r.P+j] = r.X[i*r.P+j] / v
			}
		}
		if fit, err = robust.Regress(x, y, r.P, c); err != nil {
			return fit, nil, 1, err
		}
	}
	return fit, rough, ratio, nil
}

// centre is the mean of each column over the digests, or over the one alone.
func centre(ds []*digest, own *digest, p int) []float64 {
	c := make([]float64, p)
	if len(ds) == 0 && own != nil && len(own.XY) == p {
		ds = []*digest{own}
	}
	n := 0.0
	for _, d := range ds {
		n += d.XX[0]
		for j := 1; j < p; j++ {
			c[j] += d.XX[j]
		}
	}
	for j := range c {
		if n > 0 {
			c[j] /= n
		}
	}
	return c
}

// centred gives the digest with its columns taken from a centre.
func (d *digest) centred(c []float64) *digest {
	p := len(c)
	out := *d
	out.XX, out.XY = make([]float64, p*p), make([]float64, p)
	for a := range p {
		out.XY[a] = d.XY[a] - c[a]*d.XY[0]
		for b := range p {
			out.XX[a*p+b] = d.XX[a*p+b] - c[a]*d.XX[b] - c[b]*d.XX[a*p] + c[a]*c[b]*d.XX[0]
		}
	}
	return &out
}

// centred gives the rows with their columns taken from a centre.
func (r *rowset) centred(c []float64) *rowset {
	out := *r
	out.X = append([]float64(nil), r.X...)
	for i := range r.Y {
		for j := 1; j < r.P; j++ {
			out.X[i*r.P+j] -= c[j]
		}
	}
	return &out
}
