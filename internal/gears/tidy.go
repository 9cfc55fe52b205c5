package gears

// Tidy joins stretches of one gear that are interrupted for less than join
// seconds, drops contacts shorter than least seconds (a missed engagement, an
// engine that sweeps through another gear's ratio), and joins again. It returns
// a new slice.
func Tidy(spans []Span, join, least float64) []Span {
	merge := func(in []Span) []Span {
		var out []Span
		for _, s := range in {
			if n := len(out); n > 0 && out[n-1].Gear == s.Gear && s.From-out[n-1].To < join {
				d1, d2 := out[n-1].To-out[n-1].From, s.To-s.From
				out[n-1].Sure = (out[n-1].Sure*d1 + s.Sure*d2) / max(d1+d2, 1e-9)
				out[n-1].To, out[n-1].Last = s.To, s.Last
				continue
			}
			out = append(out, s)
		}
		return out
	}
	spans = merge(spans)
	var kept []Span
	for i, s := range spans {
		if s.To-s.From < least {
			// a short contact between two others is kept only when it stands in order
			if i > 0 && i < len(spans)-1 {
				a, b := spans[i-1].Gear, spans[i+1].Gear
				if !(a < s.Gear && s.Gear < b && s.To-s.From > least/2) {
					continue
				}
			} else {
				continue
			}
		}
		kept = append(kept, s)
	}
	return merge(kept)
}
