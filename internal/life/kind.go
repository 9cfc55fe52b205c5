package life

import (
	"fmt"
	"math"

	"traplight/internal/num/weibull"
	"traplight/internal/quantity"
)

const confidence = 0.9 // 1, of all bounds here

// pooled is a kind with what tells chances.
type pooled struct {
	Kind
	life []weibull.Life // every distribution that is not ruled out; nil when nothing is known
}

// next is the highest chance, 0–1, that a part of that age, passes, fails in the next.
func (k *pooled) next(age float64) float64 {
	top := 0.0
	for _, l := range k.life {
		top = math.Max(top, l.Next(age, 1))
	}
	return top
}

func orderOf(all []*tally) []string {
	var out []string
	seen := map[string]bool{}
	for _, t := range all {
		if k := t.entry.Kind; k != "" && !seen[k] {
			seen[k] = true
			out = append(out, k)
		}
	}
	return out
}

// pool estimates the life of each kind, in passes.
func pool(all []*tally) map[string]*pooled {
	out := map[string]*pooled{}
	for _, name := range orderOf(all) {
		var d weibull.Data
		beta := 0.0
		for _, t := range all {
			age := float64(t.part.Passes)
			if t.entry.Kind != name || age <= 0 {
				continue
			}
			if t.entry.Beta > 0 && beta == 0 {
				beta = t.entry.Beta
			}
			if t.entry.Failed {
				d.Failures = append(d.Failures, age)
			} else {
				d.Suspensions = append(d.Suspensions, age)
			}
		}
		out[name] = estimate(name, d, beta)
	}
	return out
}

// estimate fits a distribution where two failures of different age allow it, else bounds it
// for the slope that is assumed.
func estimate(name string, d weibull.Data, beta float64) *pooled {
	k := &pooled{Kind: Kind{Name: name, Failures: len(d.Failures), Suspensions: len(d.Suspensions)}}
	if len(d.Failures)+len(d.Suspensions) == 0 {
		k.Method = "none: no part of this kind has run a pass"
		return k
	}
	if l, err := weibull.Fit(d); err == nil {
		k.fitted(l, d)
		return k
	}
	if beta == 0 {
		beta = usualBeta
	}
	k.Assumed = true
	k.Beta = &Figure{Value: beta, Low: beta / betaSpread, High: beta * betaSpread}
	ages := append(append([]float64{}, d.Failures...), d.Suspensions...)
	eta, b10 := math.Inf(1), math.Inf(1)
	for _, b := range []float64{beta / betaSpread, beta, beta * betaSpread} {
		l := weibull.Life{Beta: b, Eta: weibull.AtLeast(b, ages, len(d.Failures), confidence)}
		k.life = append(k.life, l)
		eta, b10 = math.Min(eta, l.Eta), math.Min(b10, l.At(0.9))
	}
	k.Eta, k.B10 = &Figure{Value: eta, Low: eta, High: eta, AtLeast: true}, &Figure{Value: b10, Low: b10, High: b10, AtLeast: true}
	k.Method = fmt.Sprintf("lower bound at 90 %% confidence for an assumed slope of %.2g, the least of %.2g to %.2g", beta, k.Beta.Low, k.Beta.High)
	return k
}

func (k *pooled) fitted(l weibull.Life, d weibull.Data) {
	k.life = []weibull.Life{l}
	lo, hi := d.BetaBounds(l, confidence)
	k.Beta = &Figure{Value: l.Beta, Low: lo, High: hi}
	lo, hi = d.LifeBounds(l, math.Exp(-1), confidence)
	k.Eta = &Figure{Value: l.Eta, Low: lo, High: hi}
	lo, hi = d.LifeBounds(l, 0.9, confidence)
	k.B10 = &Figure{Value: l.At(0.9), Low: lo, High: hi}
	// The chance of the next pass at its worst: the likeliest slope through each lower bound.
	k.life = append(k.life, weibull.Life{Beta: l.Beta, Eta: k.Eta.Low}, weibull.Life{Beta: l.Beta, Eta: k.B10.Low / math.Pow(-math.Log(0.9), 1/l.Beta)})
	k.Method = fmt.Sprintf("Weibull by maximum likelihood from %s, likelihood-ratio bounds at 90 %%", quantity.Count(len(d.Failures), "failure", "failures"))
}
