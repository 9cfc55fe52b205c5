package plan

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
)

// reaching is the chance, 0–1, that one of the passes left reaches the target, from
// draws of one pass. What the fit does not know stays the same in every pass; what the
// day brings is drawn again: with means μ by member and spread σ within a member it is
// the mean over members of 1 − (1 − Φ((μ−aim)/σ))^n.
func (s *search) reaching(traps []float64) float64 {
	return Reaching(s.m, traps, s.base.Aim, s.opt.PassesLeft)
}

// Reaching is the chance, 0–1, that one of the passes left reaches aim, m/s, from the draws
// of one pass's trap speed, m/s, in order of luck; 0 without an aim.
func Reaching(m *fitcar.Model, traps []float64, aim float64, passesLeft int) float64 {
	if aim <= 0 {
		return 0
	}
	k := len(m.Members)
	sum, n := make([]float64, k), make([]float64, k)
	for i, t := range traps {
		if !math.IsNaN(t) {
			sum[i%k] += t
			n[i%k]++
		}
	}
	ss, df := 0.0, 0.0
	for i, t := range traps {
		if j := i % k; !math.IsNaN(t) && n[j] > 1 {
			d := t - sum[j]/n[j]
			ss += d * d
			df += 1 - 1/n[j]
		}
	}
	if df < 1 {
		return 0
	}
	sd := max(0.05, math.Sqrt(ss/df))
	left := float64(max(1, passesLeft))
	chance, of := 0.0, 0.0
	for j := range sum {
		if n[j] == 0 {
			continue
		}
		p := 0.5 * math.Erfc((aim-sum[j]/n[j])/sd/math.Sqrt2)
		chance += 1 - math.Pow(1-p, left)
		of++
	}
	return chance / of
}

// rank orders settings by the chance of the target, and by speed where the chance
// tells them apart no more; m/s-like, so that the same steps count.
func rank(chance, trap, aim float64) float64 { return 20*chance + 0.1*(trap-aim) }

// holds tells whether a finding forbids more boost than was run: what was found is
// a limit that no model shows.
func holds(findings []string) bool {
	return slices.ContainsFunc(findings, func(f string) bool {
		switch f {
		case "knock", "mixture lean", "fuel supply", "turbine choke", "turbo overspeed":
			return true
		}
		return false
	})
}
