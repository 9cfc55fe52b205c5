package main

import (
	"fmt"
	"hash/fnv"
	"io"
	"math/rand/v2"
	"sort"
	"strings"

	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// variation is a way in which a logger could have been poorer.
type variation struct {
	name  string
	apply func(c dictionary.Channel, r *rand.Rand) (dictionary.Channel, bool)
}

// thinned keeps every n-th sample.
func thinned(n int) func(dictionary.Channel, *rand.Rand) (dictionary.Channel, bool) {
	return func(c dictionary.Channel, _ *rand.Rand) (dictionary.Channel, bool) {
		x := trace.Trace{}
		for i := 0; i < c.Trace.Len(); i += n {
			x.T, x.V = append(x.T, c.Trace.T[i]), append(x.V, c.Trace.V[i])
		}
		c.Trace, c.RateHz = x, c.RateHz/float64(n)
		return c, true
	}
}

// atMost keeps no more samples than come at that rate, Hz, in every channel.
func atMost(hz float64) func(dictionary.Channel, *rand.Rand) (dictionary.Channel, bool) {
	return func(c dictionary.Channel, r *rand.Rand) (dictionary.Channel, bool) {
		return thinned(max(1, int(c.RateHz/hz+0.5)))(c, r)
	}
}

// noisier adds white noise as large as the channel's own scatter from sample to sample.
func noisier(c dictionary.Channel, r *rand.Rand) (dictionary.Channel, bool) {
	v := append([]float64(nil), c.Trace.V...)
	var d []float64
	for i := 1; i+1 < len(v); i++ {
		x := v[i] - (v[i-1]+v[i+1])/2
		d = append(d, max(x, -x))
	}
	sd := 0.0
	if len(d) > 0 {
		sd = stats.MADToSD * stats.Median(d)
	}
	for i := range v {
		v[i] += sd * r.NormFloat64()
	}
	c.Trace = trace.Trace{T: c.Trace.T, V: v}
	return c, true
}

// lacking leaves a quantity out.
func lacking(qs ...quantity.Name) func(dictionary.Channel, *rand.Rand) (dictionary.Channel, bool) {
	return func(c dictionary.Channel, _ *rand.Rand) (dictionary.Channel, bool) {
		for _, q := range qs {
			if c.Quantity == q || strings.HasSuffix(string(q), "_") && strings.HasPrefix(string(c.Quantity), string(q)) {
				return c, false
			}
		}
		return c, true
	}
}

// varied screens the open simulated logs, each against its car's other healthy
// passes and alone, as they are and as poorer loggers would have kept them: the
// quantities left out one by one, fewer samples, more noise; in all passes alike,
// and in the judged pass only. Variations whose names do not contain only are left out.
func varied(w io.Writer, shared, only string) error {
	logs, notes, err := openLogs(shared)
	if err != nil {
		return err
	}
	present := map[quantity.Name]bool{}
	for _, l := range logs {
		for _, c := range l.set.Channels {
			present[c.Quantity] = true
		}
	}
	vs := []variation{{"as they are", func(c dictionary.Channel, _ *rand.Rand) (dictionary.Channel, bool) { return c, true }},
		{"every second sample", thinned(2)}, {"every fourth sample", thinned(4)}, {"five samples a second", atMost(5)}, {"twice the scatter", noisier},
		{"no wheels", lacking("wheel_speed_")}, {"no satellite", lacking("gps_speed", "latitude", "longitude")}, {"no accelerometer, no wheels", lacking("wheel_speed_", "acceleration_long")}}
	var qs []string
	for q := range present {
		if q != quantity.Unknown && q != "" {
			qs = append(qs, string(q))
		}
	}
	sort.Strings(qs)
	for _, q := range qs {
		vs = append(vs, variation{"without " + q, lacking(quantity.Name(q))})
	}
	passes := func(v variation) []openPass {
		var out []openPass
		for _, l := range logs {
			h := fnv.New64a()
			h.Write([]byte(l.name + v.name))
			r := rand.New(rand.NewPCG(h.Sum64(), 5))
			set := *l.set
			set.Channels = nil
			for _, c := range l.set.Channels {
				if c, ok := v.apply(c, r); ok {
					set.Channels = append(set.Channels, c)
				}
			}
			found, err := l.passes(&set, notes)
			if err != nil {
				fmt.Fprintf(w, "    %v\n", err)
			}
			out = append(out, found...)
		}
		return out
	}
	fmt.Fprintln(w, "open logs, each against its car's other healthy passes, and alone: healthy not clear, faults found, named")
	plain := passes(vs[0])
	var all [2]struct{ healthy, wrong, faults, found, named int }
	for _, v := range vs {
		if !strings.Contains(v.name, only) {
			continue
		}
		now := passes(v)
		for mode, past := range [][]openPass{now, plain, nil} {
			if mode == 1 && v.name == vs[0].name {
				continue
			}
			side := []string{"history alike", "history as it is", "no history"}[mode]
			healthy, wrong, faults, found, named := 0, 0, 0, 0, 0
			var told []string
			for _, o := range now {
				var hist []health.Summary
				for _, p := range past {
					if p.car == o.car && p.kind == "" && (p.openLog != o.openLog || p.index != o.index) {
						hist = append(hist, p.past)
					}
				}
				res := health.ScreenAgainst(o.rec, hist, o.sheet, health.Options{Units: quantity.Metric})
				bad := res.Verdict == health.Inspect || res.Verdict == health.StandDown
				switch {
				case o.kind == "":
					healthy++
					if bad {
						wrong++
						told = append(told, fmt.Sprintf("%s not clear: %s (%.1f) %s", o.name, res.Findings[0].Kind, res.Findings[0].Score, res.Findings[0].Evidence))
					}
				default:
					faults++
					if !bad {
						told = append(told, fmt.Sprintf("%s missed (strength %.1f)", o.name, res.Strength))
						break
					}
					found++
					if res.Findings[0].Kind == o.kind {
						named++
					} else {
						told = append(told, fmt.Sprintf("%s named %s: %s", o.name, res.Findings[0].Kind, res.Findings[0].Evidence))
					}
				}
			}
			fmt.Fprintf(w, "%-36s %-18s %d of %d  %d of %d  %d\n", v.name, side, wrong, healthy, found, faults, named)
			for _, s := range told {
				fmt.Fprintln(w, "     ", s)
			}
			k := 0
			if mode == 2 {
				k = 1
			}
			a := &all[k]
			a.healthy, a.wrong, a.faults, a.found, a.named = a.healthy+healthy, a.wrong+wrong, a.faults+faults, a.found+found, a.named+named
		}
	}
	for k, s := range []string{"with history", "no history"} {
		a := all[k]
		fmt.Fprintf(w, "all, %s: healthy not clear %d of %d, faults found %d of %d, named %d\n", s, a.wrong, a.healthy, a.found, a.faults, a.named)
	}
	return nil
}
