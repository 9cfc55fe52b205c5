package main

import (
	"fmt"
	"hash/fnv"
	"io"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"

	"traplight/internal/car"
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
	vs := variations(logs)
	fmt.Fprintln(w, "open logs, each against its car's other healthy passes, and alone: healthy not clear, faults found, named")
	plain := variedPasses(w, logs, notes, vs[0])
	var with, without verdicts
	for _, v := range vs {
		if !strings.Contains(v.name, only) {
			continue
		}
		now := variedPasses(w, logs, notes, v)
		for _, m := range []struct {
			side string
			past []openPass
			all  *verdicts
		}{{"history alike", now, &with}, {"history as it is", plain, &with}, {"no history", nil, &without}} {
			if m.side == "history as it is" && v.name == vs[0].name {
				continue
			}
			var one verdicts
			told := one.screen(now, m.past)
			fmt.Fprintf(w, "%-36s %-18s %d of %d  %d of %d  %d\n", v.name, m.side, one.wrong, one.healthy, one.found, one.faults, one.named)
			for _, s := range told {
				fmt.Fprintln(w, "     ", s)
			}
			m.all.add(one)
		}
	}
	fmt.Fprintf(w, "all, with history: %v\n", with)
	fmt.Fprintf(w, "all, no history: %v\n", without)
	return nil
}

// variations are the ways that are tried; the first leaves the logs as they are.
func variations(logs []*openLog) []variation {
	vs := []variation{{"as they are", func(c dictionary.Channel, _ *rand.Rand) (dictionary.Channel, bool) { return c, true }},
		{"every second sample", thinned(2)}, {"every fourth sample", thinned(4)}, {"five samples a second", atMost(5)}, {"twice the scatter", noisier},
		{"no wheels", lacking("wheel_speed_")}, {"no satellite", lacking("gps_speed", "latitude", "longitude")}, {"no accelerometer, no wheels", lacking("wheel_speed_", "acceleration_long")}}
	present := map[quantity.Name]bool{}
	for _, l := range logs {
		for _, c := range l.set.Channels {
			if c.Quantity != quantity.Unknown && c.Quantity != "" {
				present[c.Quantity] = true
			}
		}
	}
	for _, q := range slices.Sorted(maps.Keys(present)) {
		vs = append(vs, variation{"without " + string(q), lacking(q)})
	}
	return vs
}

// variedPasses are the passes of the logs as a variation would have kept them.
func variedPasses(w io.Writer, logs []*openLog, notes *car.Notes, v variation) []openPass {
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

// verdicts counts them over healthy and faulty passes.
type verdicts struct{ healthy, wrong, faults, found, named int }

func (t verdicts) String() string {
	return fmt.Sprintf("healthy not clear %d of %d, faults found %d of %d, named %d", t.wrong, t.healthy, t.found, t.faults, t.named)
}

func (t *verdicts) add(o verdicts) {
	t.healthy, t.wrong, t.faults, t.found, t.named = t.healthy+o.healthy, t.wrong+o.wrong, t.faults+o.faults, t.found+o.found, t.named+o.named
}

// screen judges passes, each against its car's healthy ones of past, and tells what was judged
// wrongly.
func (t *verdicts) screen(now, past []openPass) (told []string) {
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
			t.healthy++
			if bad {
				t.wrong++
				told = append(told, fmt.Sprintf("%s not clear: %s (%.1f) %s", o.name, res.Findings[0].Kind, res.Findings[0].Score, res.Findings[0].Evidence))
			}
		case !bad:
			t.faults++
			told = append(told, fmt.Sprintf("%s missed (strength %.1f)", o.name, res.Strength))
		case res.Findings[0].Kind == o.kind:
			t.faults, t.found, t.named = t.faults+1, t.found+1, t.named+1
		default:
			t.faults, t.found = t.faults+1, t.found+1
			told = append(told, fmt.Sprintf("%s named %s: %s", o.name, res.Findings[0].Kind, res.Findings[0].Evidence))
		}
	}
	return told
}
