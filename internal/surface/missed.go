package surface

import (
	"math"
	"slices"

	"traplight/internal/forecast"
)

// figures of a forecast that are followed
const (
	trapP05 = iota // m/s
	trapP50
	trapP95
	trapMean
	trapSD
	timeP05 // s
	timeP50
	timeP95
	timeMean
	timeSD
	topP50  // m/s
	stopP50 // m
	stopP95
	figures
)

// tells are the figures that some draws tell.
type tells struct {
	q     [figures]float64
	count int     // draws that reached the line
	mid   float64 // m/s, weighted mean of the trap speeds about the median
	width float64 // m/s of trap speed between the quantiles that lie about the median by one deviation of its order
}

// window is how far about the median, as a quantile, the weighted mean reaches that stands
// for it: it hangs less on single draws, and what it is off by is part of what is missed.
const window = 0.06 // 1

// unsure is the standard deviation, m/s, of the median of as many draws that were not
// chosen; that of chosen ones is about a third.
func (t tells) unsure() float64 { return t.width / 2 }

func told(d []forecast.Draw) (t tells) {
	put := func(of func(*forecast.Draw) float64, p05, p50, p95, mean, sd int) {
		var x []float64
		for i := range d {
			if v := of(&d[i]); !math.IsNaN(v) {
				x = append(x, v)
			}
		}
		t.count = len(x)
		if len(x) < 2 {
			return
		}
		slices.Sort(x)
		// Each of n sorted draws stands for 1/n; few and many then have the same quantiles.
		at := func(p float64) float64 {
			u := max(0, min(float64(len(x)-1), p*float64(len(x))-0.5))
			i := min(int(u), len(x)-2)
			return x[i] + (u-float64(i))*(x[i+1]-x[i])
		}
		sum, ss := 0.0, 0.0
		for _, v := range x {
			sum += v
		}
		m := sum / float64(len(x))
		for _, v := range x {
			ss += (v - m) * (v - m)
		}
		for k, v := range map[int]float64{p05: at(0.05), p50: at(0.5), p95: at(0.95), mean: m, sd: math.Sqrt(ss / float64(len(x)-1))} {
			if k >= 0 {
				t.q[k] = v
			}
		}
	}
	put(func(d *forecast.Draw) float64 { return d.Trap }, trapP05, trapP50, trapP95, trapMean, trapSD)
	t.middle(d)
	put(func(d *forecast.Draw) float64 { return d.Time }, timeP05, timeP50, timeP95, timeMean, timeSD)
	put(func(d *forecast.Draw) float64 { return d.Top }, -1, topP50, -2, -3, -4)
	put(func(d *forecast.Draw) float64 { return d.Stop }, -1, stopP50, stopP95, -2, -3)
	return t
}

// middle finds what stands for the median of few draws, and how unsure the median is.
func (t *tells) middle(d []forecast.Draw) {
	var x []float64
	for i := range d {
		if v := d[i].Trap; !math.IsNaN(v) {
			x = append(x, v)
		}
	}
	n := len(x)
	if n < 3 {
		return
	}
	slices.Sort(x)
	k := max(1, int(math.Round(math.Sqrt(float64(n))/2)))
	t.width = x[min(n-1, n/2+k)] - x[max(0, n/2-k)]
	sum, weight := 0.0, 0.0
	for i, v := range x {
		u := ((float64(i)+0.5)/float64(n) - 0.5) / window
		if w := 1 - 0.9*u*u; math.Abs(u) < 1 {
			sum, weight = sum+w*v, weight+w
		}
	}
	t.mid = sum / weight
}

func (t tells) less(o tells) (out [figures]float64) {
	for k := range out {
		out[k] = t.q[k] - o.q[k]
	}
	return out
}

// smoothed has the mean about the median in place of the median.
func (t tells) smoothed() tells {
	t.q[trapP50] = t.mid
	return t
}

func (t tells) plus(d [figures]float64) tells {
	for k := range d {
		t.q[k] += d[k]
	}
	return t
}

// What is missed is followed by a mean and a Gaussian process about it with the kernel
// exp(−|u−u'|²/2ℓ²) over settings scaled to −1 … 1. The measure is relative: what is missed
// differs from place to place by one part that goes on (1) and one that does not (grain).
const (
	grain     = 0.5 // 1
	perLength = 0.9 // ℓ² by the count of settings
)

// missed is what the draws of a look miss of the figures of all.
type missed struct {
	u     [][]float64
	y     [][figures]float64
	mean  [figures]float64
	gains [][figures]float64
	ell   float64 // ℓ²
}

func (k *missed) add(u []float64, y [figures]float64) {
	k.u, k.y = append(k.u, u), append(k.y, y)
}

func (k *missed) kernel(a, b []float64) float64 {
	d := 0.0
	for i := range a {
		d += (a[i] - b[i]) * (a[i] - b[i])
	}
	return math.Exp(-d / (2 * k.ell))
}

// near is how fast the part that does not go on fades, in scaled settings: where all draws
// were run what is missed is known.
const near = 0.05

func (k *missed) at(u []float64) (out [figures]float64) {
	out = k.mean
	for i := range k.u {
		w := k.both(u, k.u[i])
		for q := range out {
			out[q] += w * k.gains[i][q]
		}
	}
	return out
}

// both parts of the covariance.
func (k *missed) both(a, b []float64) float64 {
	d := 0.0
	for i := range a {
		d += (a[i] - b[i]) * (a[i] - b[i])
	}
	return k.kernel(a, b) + grain*grain*math.Exp(-d/(2*near*near))
}

// solve finds the gains K⁻¹(y − mean) by Cholesky's factors.
func (k *missed) solve() {
	n := len(k.u)
	k.gains = make([][figures]float64, n)
	if n == 0 {
		return
	}
	for _, y := range k.y {
		for q := range y {
			k.mean[q] += y[q] / float64(n)
		}
	}
	l := make([][]float64, n)
	for i := range l {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			v := k.both(k.u[i], k.u[j])
			if i == j {
				v += 1e-6
			}
			for q := range j {
				v -= l[i][q] * l[j][q]
			}
			if i == j {
				l[i][i] = math.Sqrt(max(v, 1e-12))
			} else {
				l[i][j] = v / l[j][j]
			}
		}
	}
	for q := range figures {
		z := make([]float64, n)
		for i := range n {
			z[i] = k.y[i][q] - k.mean[q]
			for j := range i {
				z[i] -= l[i][j] * z[j]
			}
			z[i] /= l[i][i]
		}
		for i := n - 1; i >= 0; i-- {
			for j := i + 1; j < n; j++ {
				z[i] -= l[j][i] * k.gains[j][q]
			}
			k.gains[i][q] = z[i] / l[i][i]
		}
	}
}
