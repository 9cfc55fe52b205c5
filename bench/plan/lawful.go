package main

import (
	"math"

	"traplight/internal/demo"
)

// What passes may do to limits: what the design allows a plan.
const (
	hardChance = 0.01 // 0–1, of passing any hard limit in a pass
	softOften  = 0.1  // 0–1, share of passes that may pass a soft limit in a gear
	shortShare = 0.05 // 1, of the target, by which boost may be short of it
	ownSpread  = 16   // passes from which on their own scatter is taken
	leastSD    = 1e-3 // 1, scatter that any figure has
)

// strain is how near passes come to one hard limit: mean and scatter of the logarithm of its
// share.
type strain struct{ mean, sd float64 }

// strains are those of passes, by limit.
func strains(outs []demo.Outcome) map[string]strain {
	sum := map[string][3]float64{}
	for _, o := range outs {
		for _, x := range o.Strains {
			l, s := math.Log(max(x.Share, 1e-3)), sum[x.Name]
			sum[x.Name] = [3]float64{s[0] + 1, s[1] + l, s[2] + l*l}
		}
	}
	out := map[string]strain{}
	for name, s := range sum {
		m := s[1] / s[0]
		out[name] = strain{m, math.Sqrt(max(0, s[2]-s[0]*m*m) / max(1, s[0]-1))}
	}
	return out
}

// over is the chance, 0–1, of passing any hard limit in a pass: a normal tail for each. Few
// passes tell a mean better than a scatter, which then is that of the settings run, was.
func over(outs []demo.Outcome, was map[string]strain) (sum float64) {
	for name, s := range strains(outs) {
		sd := s.sd
		if len(outs) < ownSpread {
			sd = was[name].sd
		}
		sum += 0.5 * math.Erfc(-s.mean/max(sd, leastSD)/math.Sqrt2)
	}
	return min(1, sum)
}

// score is the normal score of a chance, 0–1, of keeping the limits: greater is safer.
func score(chance float64) float64 {
	return -math.Sqrt2 * math.Erfinv(2*min(1-1e-12, max(1e-12, chance))-1)
}

// often is in how many passes gear g (from 0) went past the tyres' peak.
func often(outs []demo.Outcome, g int) (n int) {
	for _, o := range outs {
		if o.PastPeak[g] > spinTime {
			n++
		}
	}
	return n
}

// short is in how many passes gear g (from 0) did not come to its boost, Pa gauge.
func short(outs []demo.Outcome, g int, boost float64) (n int) {
	for _, o := range outs {
		if o.BoostShort[g] > shortShare*boost {
			n++
		}
	}
	return n
}

// soft tells whether gear g (from 0) of passes with s passes a soft limit more often than is
// accepted, and than the settings run did in the same passes. Of few passes one may. Where no
// more boost is asked for than was run, a gear short of it was only entered just before the line.
func (h *hunt) soft(s demo.Settings, outs []demo.Outcome, g int) bool {
	most := max(1, softOften*float64(len(outs)))
	was, set := h.ran[:len(outs)], h.bench.set.Boost[g]
	return float64(often(outs, g)) > max(most, float64(often(was, g))) ||
		s.Boost[g] > set && float64(short(outs, g, s.Boost[g])) > max(most, float64(short(was, g, set)))
}

// lawful tells whether passes with s hold the limits.
func (h *hunt) lawful(s demo.Settings, outs []demo.Outcome) bool {
	for g := range s.Boost {
		if h.soft(s, outs, g) {
			return false
		}
	}
	return !h.broken(outs)
}

// broken tells whether passes go over hard limits too often, or not to the line.
func (h *hunt) broken(outs []demo.Outcome) bool {
	for _, o := range outs {
		if !o.Complete {
			return true
		}
	}
	return over(outs, h.scatter) > h.accepted
}
