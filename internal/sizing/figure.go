package sizing

import (
	"encoding/json"
	"math"
	"slices"
	"strconv"

	"traplight/internal/num/stats"
	"traplight/internal/quantity"
)

// Figure is a result with its spread, in the SI unit that its key or comment names.
type Figure struct {
	Value   float64            // own unit; the median of the draws
	SD      float64            // own unit, standard deviation
	Low     float64            // own unit, 5 % of the draws lie below
	High    float64            // own unit, 5 % of the draws lie above
	AtLeast bool               // the data bound the value from below only
	Dim     quantity.Dimension // for printing
}

// MarshalJSON gives value, sd, p05 and p95 with six digits.
func (f Figure) MarshalJSON() ([]byte, error) {
	return json.Marshal(struct {
		Value   *float64 `json:"value"`
		SD      *float64 `json:"sd"`
		Low     *float64 `json:"p05"`
		High    *float64 `json:"p95"`
		AtLeast bool     `json:"at_least,omitempty"`
	}{rounded(f.Value), rounded(f.SD), rounded(f.Low), rounded(f.High), f.AtLeast})
}

// rounded keeps six digits; nil for what is no number.
func rounded(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(x, 'g', 6, 64), 64)
	if err != nil {
		return nil
	}
	return &r
}

// figureOf summarises draws; those that are no number are left out. With none left it
// is nil.
func figureOf(dim quantity.Dimension, draws []float64) *Figure {
	x := make([]float64, 0, len(draws))
	for _, v := range draws {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			x = append(x, v)
		}
	}
	if len(x) == 0 {
		return nil
	}
	slices.Sort(x)
	_, sd := stats.MeanSD(x)
	if math.IsNaN(sd) {
		sd = 0
	}
	return &Figure{Value: stats.QuantileSorted(x, 0.5), SD: sd, Low: stats.QuantileSorted(x, 0.05), High: stats.QuantileSorted(x, 0.95), Dim: dim}
}

// boundOf summarises draws of which those that are no number stand for "more than any":
// its bounds count them, and a bound among them is told as at least the lower one. With more
// than half of them the value is the lower bound.
func boundOf(dim quantity.Dimension, draws []float64) *Figure {
	f := figureOf(dim, draws)
	if f == nil {
		return nil
	}
	x := make([]float64, len(draws))
	for i, v := range draws {
		if x[i] = v; math.IsNaN(v) {
			x[i] = math.Inf(1)
		}
	}
	slices.Sort(x)
	at := func(p float64) float64 { return x[int(math.Round(p*float64(len(x)-1)))] }
	f.Low, f.Value, f.High = at(0.05), at(0.5), at(0.95)
	if math.IsInf(f.High, 1) {
		f.AtLeast = true
	}
	if math.IsInf(f.Value, 1) {
		f.Value = f.Low
	}
	if math.IsInf(f.Low, 1) {
		return nil
	}
	return f
}

// share is how many of the draws fulfil f, 0–1.
func share(draws []float64, f func(float64) bool) float64 {
	n := 0
	for _, v := range draws {
		if f(v) {
			n++
		}
	}
	return float64(n) / float64(max(1, len(draws)))
}
