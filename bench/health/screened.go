package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
)

// outcome is one screened pass.
type outcome struct {
	kind, grade string // "" for healthy
	change      string // that is no fault, before the pass; "" none
	car, set    string
	visible     bool
	moved       string // what the fault moves in the log, and since when
	with        verdict
	without     verdict
	g           *garage
	opts        demo.PassOptions
	seed        uint64
}

type verdict struct {
	res   health.Result
	found bool
	named bool
	off   float64 // s, start less the time from which it could be seen; NaN unknown
}

func (b *bench) one(j job) {
	id := fmt.Sprintf("t%03d", j.n)
	r := xrand.Stream(b.seed, fmt.Sprintf("test/%s/%s/%s/%s/%d", j.g.car.ID, j.g.sensors, j.kind, j.grade, j.n))
	o := j.g.options(r, id)
	if j.kind != "" {
		f, ok := j.g.car.MakeFault(j.kind, j.grade, r.Uint64())
		if !ok {
			return
		}
		if j.kind == demo.NitrousFault {
			o.Settings.Nitrous = true
		}
		o.Driver.LiftAt = 0
		o.Fault = &f
	}
	name, g, past := "", j.g, j.g.past
	var err error
	if j.with > 0 {
		c := changed[j.with-1]
		name = c.name
		if !c.apply(j.g, &o, r) {
			return
		}
		if g, past, err = b.changedGarage(j.g, c); err != nil {
			fmt.Fprintln(os.Stderr, err)
			return
		}
	}
	seed := r.Uint64()
	rec, tr, err := g.recall(b.cache, strings.ReplaceAll(fmt.Sprintf("%d-%s-%s-%s-%s-%d", b.seed, j.g.car.ID, j.g.sensors, j.kind, name+string(j.grade), j.n), "/", " per "), o, seed)
	if err != nil {
		b.mu.Lock()
		b.failed++
		b.mu.Unlock()
		fmt.Fprintf(os.Stderr, "%s/%s %s %s %d: %v\n", j.g.car.ID, j.g.sensors, j.kind, name+string(j.grade), j.n, err)
		return
	}
	if j.with > 0 && changed[j.with-1].after != nil {
		changed[j.with-1].after(&rec, &o)
	}
	sheet := g.sheet
	if j.with > 0 && changed[j.with-1].sheet != nil {
		told := *sheet
		changed[j.with-1].sheet(&told)
		sheet = &told
	}
	out := outcome{kind: string(j.kind), grade: string(j.grade), change: name, car: j.g.car.ID, set: j.g.sensors, visible: true, g: j.g, opts: o, seed: seed}
	obs := math.NaN()
	if tr != nil && len(tr.Passes) > 0 && len(tr.Passes[0].Faults) > 0 {
		f := tr.Passes[0].Faults[0]
		out.visible = tr.shown() && f.TObservable != nil
		out.moved = tr.moved(o.Fault, rec.Set.Clock.Log(rec.Pass.Launch.Value))
		if f.TObservable != nil {
			obs = *f.TObservable
		}
		if j.kind == demo.SensorFault {
			out.grade += " " + f.Detail.Channel + " " + f.Detail.Mode
		}
	}
	for k, past := range [][]health.Summary{past, nil} {
		v := verdict{off: math.NaN()}
		if k == 0 && b.first {
			continue
		}
		v.res = health.ScreenAgainst(rec, past, sheet, health.Options{Units: quantity.Metric, Shop: j.g.shop})
		if len(v.res.Findings) > 0 {
			v.found = true
			v.named = string(v.res.Findings[0].Kind) == string(j.kind)
			v.off = rec.Set.Clock.Log(v.res.Findings[0].Start) - obs
		}
		if k == 0 {
			out.with = v
		} else {
			out.without = v
		}
	}
	b.mu.Lock()
	b.outcomes = append(b.outcomes, out)
	b.mu.Unlock()
}

func (b *bench) tell(w io.Writer, o outcome) {
	for k, v := range []verdict{o.with, o.without} {
		if k == 0 && b.first {
			continue
		}
		side := []string{"with", "none"}[k]
		switch {
		case o.kind == "" && v.found, o.kind != "" && o.visible && (!v.found || !v.named), math.Abs(v.off) > 0.5:
		default:
			continue
		}
		fmt.Fprintf(w, "%s %s/%s %s%s %s visible %v off %.2f verdict %q\n", side, o.car, o.set, o.change+" ", o.kind, o.grade, o.visible, v.off, v.res.Verdict)
		if o.moved != "" {
			fmt.Fprintf(w, "      it moves %s; strength %.1f\n", o.moved, v.res.Strength)
		}
		for _, f := range v.res.Findings {
			fmt.Fprintf(w, "      %s %s score %.1f chance %.2g %v | %s\n", f.Kind, f.Severity, f.Score, f.Chance, f.Others, f.Evidence)
		}
	}
}
