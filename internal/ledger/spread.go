package ledger

import "math"

// What the model's own structure is worth beside the ensemble's spread, of a line, 1.
const ownOurs, ownGiven = 0.1, 0.05

// lines puts the mean member's finding with the spread of all.
func lines(acc []*account) []Line {
	spread := func(get func(*account) float64) float64 {
		var s, ss, n float64
		for _, a := range acc[1:] {
			if a != nil {
				x := get(a)
				s, ss, n = s+x, ss+x*x, n+1
			}
		}
		mid := get(acc[0])
		if n < 2 {
			return math.Abs(0.2 * mid)
		}
		return math.Sqrt(math.Max(0, ss/n-s*s/(n*n)))
	}
	line := func(name, group string, own float64, share, alone func(*account) float64) Line {
		s, a := share(acc[0]), alone(acc[0])
		return Line{Cause: name, Group: group, Speed: s, SD: math.Hypot(spread(share), own*s), Alone: a, AloneSD: math.Hypot(spread(alone), own*a)}
	}
	var out []Line
	for i, name := range ours {
		out = append(out, line(name, "ours", ownOurs, func(a *account) float64 { return a.share[i] }, func(a *account) float64 { return a.alone[i] }))
	}
	for i, name := range given {
		f := func(a *account) float64 { return a.given[i] }
		out = append(out, line(name, "given", ownGiven, f, f))
	}
	return out
}
