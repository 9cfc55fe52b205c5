package main

import (
	"fmt"
	"io"
	"math"
	"sort"

	"traplight/internal/demo"
	"traplight/internal/num/stats"
)

// repeats of a pass from which the scatter is had that no comparison can undercut.
const repeats = 24

// unseen is how far, in standard deviations, a shift must lie over what hides it to
// leave a trace: over thirty or so channels and a dozen seconds chance gives about
// three and a half.
const unseen = 4.0

// limitTable says, of every fault that was shown and not found with history, what of
// it was in the log at all: in the generator's twin of the very pass, channel by
// channel, over the sensors' noise, and over the scatter of the same pass run again.
// With all it says so of the found ones too, for comparison.
func (b *bench) limitTable(w io.Writer, all bool) {
	type line struct {
		outcome
		tr demo.Traces
	}
	var missed, found []line
	for _, o := range b.outcomes {
		if o.change != "" || o.kind == "" || !o.visible || o.kind == string(demo.SensorFault) {
			continue
		}
		if o.with.found && !all {
			continue
		}
		l := line{o, demo.Trace(o.g.car, o.opts, o.seed, repeats)}
		if o.with.found {
			found = append(found, l)
		} else {
			missed = append(missed, l)
		}
	}
	count := func(ls []line, grade string) (n, dark, alone, joint int) {
		for _, l := range ls {
			if grade != "" && l.grade != grade {
				continue
			}
			n++
			noise, repeat := 0.0, 0.0
			for _, c := range l.tr.Channels {
				noise = max(noise, math.Abs(c.Shift)/c.Noise)
				repeat = max(repeat, math.Abs(c.Shift)/math.Hypot(c.Repeat, c.Noise))
			}
			if noise < unseen {
				dark++
			}
			if repeat < unseen {
				alone++
			}
			if max(l.tr.Joint, l.tr.Whole) < 2*unseen {
				joint++
			}
		}
		return
	}
	fmt.Fprintf(w, "what of the faults was in the log: twin passes with and without the fault, 1 s means at the same time in the same gear\n")
	for _, part := range []struct {
		name string
		ls   []line
	}{{"missed", missed}, {"found", found}} {
		if part.name == "found" && !all {
			continue
		}
		for _, g := range []string{"gross", "moderate", "subtle", ""} {
			n, dark, alone, joint := count(part.ls, g)
			if g == "" {
				g = "all"
			}
			fmt.Fprintf(w, "  %s, %s: %d; no channel shifts by %.0f SD of the sensors' noise %d, nor of the same pass run again %d; all channels together stay under %.0f SD %d\n", part.name, g, n, unseen, dark, alone, 2*unseen, joint)
		}
		var js []float64
		for _, l := range part.ls {
			js = append(js, max(l.tr.Joint, l.tr.Whole))
		}
		if len(js) > 0 {
			fmt.Fprintf(w, "  %s: all channels together, SD: median %.0f, lowest tenth %.0f\n", part.name, stats.Median(js), stats.Quantile(js, 0.1))
		}
	}
	for _, l := range missed {
		fmt.Fprintf(w, "%s/%s %s %s strength %.1f: joint %.0f whole %.0f;", l.car, l.set, l.kind, l.grade, l.with.res.Strength, l.tr.Joint, l.tr.Whole)
		cs := append([]demo.ChannelTrace(nil), l.tr.Channels...)
		sort.SliceStable(cs, func(a, b int) bool {
			return math.Abs(cs[a].Shift)/math.Hypot(cs[a].Repeat, cs[a].Noise) > math.Abs(cs[b].Shift)/math.Hypot(cs[b].Repeat, cs[b].Noise)
		})
		for _, c := range cs[:min(5, len(cs))] {
			fmt.Fprintf(w, " %s %.3g (%.0f noise, %.1f repeat)", c.Quantity, c.Shift, math.Abs(c.Shift)/c.Noise, math.Abs(c.Shift)/math.Hypot(c.Repeat, c.Noise))
		}
		fmt.Fprintln(w)
	}
}
