// Package stats holds the few order statistics and intervals that gonum's stat
// packages do not give in the form wanted here. Functions do not change their
// arguments. Units: results carry the unit of the data unless said otherwise.
package stats

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// MADToSD turns a median absolute deviation into the standard deviation of a
// normal distribution: 1/Φ⁻¹(3/4). Unit: 1.
const MADToSD = 1.4826022185056018

// Median is the middle value of x, unit of x; NaN for an empty x.
func Median(x []float64) float64 { return Quantile(x, 0.5) }

// Quantile is the p-quantile of x, unit of x, p in 0–1, by linear interpolation
// of the order statistics at (n−1)p (type 7 of Hyndman and Fan 1996, the default
// of R and NumPy); NaN for an empty x.
func Quantile(x []float64, p float64) float64 { return QuantileIn(slices.Clone(x), p) }

// QuantileIn is Quantile, unit of x, that reorders x.
func QuantileIn(x []float64, p float64) float64 {
	n := len(x)
	if n == 0 {
		return math.NaN()
	}
	i, f := rank(n, p)
	none := nansFirst(x)
	if i < none {
		return math.NaN()
	}
	v := Select(x[none:], i-none)
	if i == n-1 {
		return v
	}
	return v + f*(slices.Min(x[i+1:])-v)
}

// rank is the place in n sorted values below their p-quantile, and how far beyond it that
// lies, 0–1; the last place at most.
func rank(n int, p float64) (i int, beyond float64) {
	h := float64(n-1) * min(max(p, 0), 1)
	if i = int(h); i >= n-1 {
		return n - 1, 0
	}
	return i, h - float64(i)
}

// QuantileSorted is Quantile, unit of s, for a slice that is sorted already; p
// is 0–1.
func QuantileSorted(s []float64, p float64) float64 {
	n := len(s)
	if n == 0 {
		return math.NaN()
	}
	i, f := rank(n, p)
	if i == n-1 {
		return s[n-1]
	}
	return s[i] + f*(s[i+1]-s[i])
}

// MAD is the median absolute deviation from the median times MADToSD, unit of
// x: the standard deviation of a normal sample, blind to less than half of
// outliers. NaN for an empty x.
func MAD(x []float64) float64 {
	m := Median(x)
	d := make([]float64, len(x))
	for i, v := range x {
		d[i] = math.Abs(v - m)
	}
	return MADToSD * QuantileIn(d, 0.5)
}

// MeanSD returns mean and standard deviation (divisor n−1), both in the unit of
// x, by the two-pass formula with the correction for the mean's rounding (Chan,
// Golub and LeVeque 1983). The deviation is NaN for fewer than two values.
func MeanSD(x []float64) (mean, sd float64) {
	n := float64(len(x))
	for _, v := range x {
		mean += v
	}
	mean /= n
	var s1, s2 float64
	for _, v := range x {
		d := v - mean
		s1 += d
		s2 += d * d
	}
	mean += s1 / n
	if n < 2 {
		return mean, math.NaN()
	}
	return mean, math.Sqrt((s2 - s1*s1/n) / (n - 1))
}

// Lag1 is the autocorrelation at lag one, unit 1: Σ(xᵢ−m)(xᵢ₊₁−m)/Σ(xᵢ−m)², as
// certified in NIST StRD. NaN when x does not vary.
func Lag1(x []float64) float64 {
	m, _ := MeanSD(x)
	var a, b float64
	for i, v := range x {
		b += (v - m) * (v - m)
		if i > 0 {
			a += (v - m) * (x[i-1] - m)
		}
	}
	return a / b
}

// Proportion is an observed share with its exact 95 % bounds; units 1.
type Proportion struct {
	K, N int     // successes, trials
	P    float64 // K/N, 1
	Low  float64 // 1, lower bound at 95 % two-sided
	High float64 // 1, upper bound
}

// Binomial gives the share k/n with the two-sided 95 % interval of Clopper and
// Pearson (1934, Biometrika 26, 404–413), which never covers less than stated.
func Binomial(k, n int) Proportion {
	p := Proportion{K: k, N: n, Low: 0, High: 1, P: math.NaN()}
	if n == 0 {
		return p
	}
	p.P = float64(k) / float64(n)
	if k > 0 {
		p.Low = distuv.Beta{Alpha: float64(k), Beta: float64(n - k + 1)}.Quantile(0.025)
	}
	if k < n {
		p.High = distuv.Beta{Alpha: float64(k + 1), Beta: float64(n - k)}.Quantile(0.975)
	}
	return p
}

// TwoSided is the chance, 1, that a Student-t variable of df degrees of freedom
// is beyond ±z; df ≥ 200 is treated as normal. It keeps its accuracy far in the
// tail.
func TwoSided(z, df float64) float64 {
	z = math.Abs(z)
	if df >= 200 {
		return math.Erfc(z / math.Sqrt2)
	}
	return 2 * distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Survival(z)
}

// AsNormal converts a Student-t value with df degrees of freedom to the normal
// deviate of the same two-sided chance, keeping the sign; unit 1. It is how
// evidence from few passes is made comparable with that from many.
func AsNormal(z, df float64) float64 {
	if df >= 200 || z == 0 {
		return z
	}
	// Wallace (1959), Ann. Math. Statist. 30, 1121–1130: within a few parts in a
	// thousand for df ≥ 3, and monotone to any z, where tail chances underflow.
	k := (8*df + 1) / (8*df + 3)
	return math.Copysign(k*math.Sqrt(df*math.Log1p(z*z/df)), z)
}
