package main

import (
	"fmt"
	"io"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"traplight/internal/num/stats"
)

// Line sums up one quantity.
type Line struct {
	Bound    Bound    `json:"-"`
	Quantity string   `json:"quantity"`
	Unit     string   `json:"unit"`
	N        int      `json:"n"`
	Median   float64  `json:"median"`
	P90      float64  `json:"p90"`
	Worst    float64  `json:"worst"`
	Bias     float64  `json:"mean_error"`
	Exact    int      `json:"exact"`       // how many are right without an interval, as "boost never fell" is
	Stated   int      `json:"intervals"`   // how many have a standard deviation
	Covered  int      `json:"covered"`     // how many 90 % intervals hold
	Width    float64  `json:"width_ratio"` // mean width over the errors' own 90 % range; 0 without intervals
	Squares  float64  `json:"z_squares"`   // sum of squared errors in stated standard deviations
	Fails    []string `json:"fails"`
}

// summarise sums up the rows of healthy passes (or of the others).
func summarise(rows []Row, healthy bool, bounds []Bound) []Line {
	var out []Line
	for _, b := range bounds {
		l := Line{Bound: b, Quantity: b.Name, Unit: b.Unit}
		var errs, stated []float64
		width := 0.0
		for _, r := range rows {
			if r.Quantity != b.Name || r.Healthy != healthy {
				continue
			}
			e := math.Abs(r.Error)
			if b.OneSided {
				e = max(0, r.Error)
			}
			errs = append(errs, e)
			l.Bias += r.Error
			if r.SD == 0 && r.Error == 0 {
				l.Exact++
			}
			if r.SD > 0 {
				l.Stated++
				l.Squares += r.Error * r.Error / (r.SD * r.SD)
				width += 2 * z90 * r.SD
				stated = append(stated, e)
				if math.Abs(r.Error) <= z90*r.SD {
					l.Covered++
				}
			}
		}
		if len(errs) == 0 {
			continue
		}
		slices.Sort(errs)
		l.N = len(errs)
		l.Bias /= float64(l.N)
		l.Median, l.P90, l.Worst = stats.QuantileSorted(errs, 0.5), stats.QuantileSorted(errs, 0.9), errs[len(errs)-1]
		// The errors' range is that of the results with an interval: those that are right
		// without one would narrow it.
		slices.Sort(stated)
		if len(stated) > 0 && stats.QuantileSorted(stated, 0.9) > 0 {
			l.Width = width / float64(l.Stated) / (2 * stats.QuantileSorted(stated, 0.9))
		}
		l.judge()
		out = append(out, l)
	}
	return out
}

func (l *Line) judge() {
	b := l.Bound
	if b.Median > 0 && l.Median > b.Median {
		l.Fails = append(l.Fails, fmt.Sprintf("median over %.4g", b.Median))
	}
	if b.OneSided {
		if b.P90 > 0 && l.Worst > b.P90 {
			l.Fails = append(l.Fails, fmt.Sprintf("worst over %.4g", b.P90))
		}
	} else if b.P90 > 0 && l.P90 > b.P90 {
		l.Fails = append(l.Fails, fmt.Sprintf("90 %% over %.4g", b.P90))
	}
	if !b.Honest {
		return
	}
	if n := l.N - l.Stated - l.Exact; n > 0 {
		l.Fails = append(l.Fails, fmt.Sprintf("%d of %d without interval", n, l.N))
	}
	if l.Stated == 0 {
		return
	}
	// A count is blamed only where the sample is too far out to be chance
	// (5 %): with 14 passes even perfect intervals often hold all of them.
	switch {
	case atMost(l.Covered, l.Stated, coverageFrom) < 0.05:
		l.Fails = append(l.Fails, "intervals too narrow")
	case 1-atMost(l.Covered-1, l.Stated, coverageTo) < 0.05:
		l.Fails = append(l.Fails, "intervals hold too often")
	}
	// The errors' own range is itself known to some 0.9/√n only: half of that is let
	// pass. And where logs differ in what they know, the wide interval of one is no
	// match for the errors of the others: each error must also be too small for its own.
	if l.Width > widestRatio*(1+0.45/math.Sqrt(float64(l.Stated))) && tooWide(l.Squares, l.Stated) {
		l.Fails = append(l.Fails, "intervals too wide")
	}
}

// atMost is the probability of k or fewer successes in n trials of chance p.
func atMost(k, n int, p float64) float64 {
	sum := 0.0
	for i := 0; i <= k && i <= n; i++ {
		lc, _ := math.Lgamma(float64(n + 1))
		li, _ := math.Lgamma(float64(i + 1))
		lr, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(lc - li - lr + float64(i)*math.Log(p) + float64(n-i)*math.Log1p(-p))
	}
	return min(1, sum)
}

// tooWide says that n squared errors, each over its own stated variance, sum to less than
// they would in 19 of 20 cases if the intervals were 1.5 times as wide as need be
// (chi-squared).
func tooWide(squares float64, n int) bool {
	return distuv.ChiSquared{K: float64(n)}.CDF(squares*widestRatio*widestRatio) < 0.05
}

func printLines(w io.Writer, lines []Line, all bool) {
	fmt.Fprintf(w, "%-34s %-5s %4s %9s %9s %9s %9s  %-11s %6s\n",
		"quantity", "unit", "n", "median", "90 %", "worst", "bias", "in 90 %", "width")
	for _, l := range lines {
		if l.Bound.Detail && !all {
			continue
		}
		cover, width := "", ""
		if l.Stated > 0 {
			cover = fmt.Sprintf("%d/%d %3.0f%%", l.Covered, l.Stated, 100*float64(l.Covered)/float64(l.Stated))
			width = fmt.Sprintf("%.2f", l.Width)
		}
		fmt.Fprintf(w, "%-34s %-5s %4d %9s %9s %9s %9s  %-11s %6s", l.Quantity, l.Unit, l.N,
			short(l.Median), short(l.P90), short(l.Worst), short(l.Bias), cover, width)
		for i, f := range l.Fails {
			sep := "  FAIL: "
			if i > 0 {
				sep = "; "
			}
			fmt.Fprint(w, sep, f)
		}
		fmt.Fprintln(w)
	}
}

func short(v float64) string {
	switch a := math.Abs(v); {
	case a >= 1000:
		return fmt.Sprintf("%.0f", v)
	case a >= 10:
		return fmt.Sprintf("%.2f", v)
	}
	return fmt.Sprintf("%.4f", v)
}
