package main

import (
	"fmt"
	"io"
	"math"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
)

// transplanted screens the open logs' healthy passes with the generator's faults laid over
// them: what another model than the generator scatters, drifts and mixes stays as it is.
// Each pass stands against its car's other healthy passes where there are at least three,
// and alone.
func (b *bench) transplanted(w io.Writer, shared string) error {
	logs, given, err := openLogs(shared)
	if err != nil {
		return err
	}
	notes := *given
	notes.Passes = append([]car.PassNote(nil), given.Passes...)
	for i := range notes.Passes {
		notes.Passes[i].Slip = car.Slip{Trap: math.NaN()} // the strip's own figures are of the pass without the fault
	}
	var hosts []openPass
	for _, l := range logs {
		found, err := l.passes(l.set, &notes)
		if err != nil {
			return err
		}
		for _, o := range found {
			if o.kind == "" && wanted(b.cars, o.car) {
				hosts = append(hosts, o)
			}
		}
	}
	donors := demo.Cars()
	for ki, k := range demo.Kinds() {
		if !wanted(b.kinds, string(k)) || k == demo.SensorFault {
			continue
		}
		for gi, gr := range b.gradesWanted() {
			for i := range b.each {
				o := hosts[(ki+5*i+3*gi)%len(hosts)]
				if err := b.transplant(w, k, gr, donors[(2*i+ki+gi)%len(donors)], i, o, hosts, &notes); err != nil {
					fmt.Fprintln(w, "   ", err)
				}
			}
		}
	}
	for _, o := range hosts {
		b.judge(outcome{car: o.car, visible: true}, o, o.rec, hosts, math.NaN())
	}
	all := b.outcomes
	fmt.Fprintln(w, "against the car's other healthy passes, at least three of them")
	b.outcomes = nil
	for _, o := range all {
		if o.set != few {
			b.outcomes = append(b.outcomes, o)
		}
	}
	b.table(w, true)
	fmt.Fprintln(w, "alone")
	b.outcomes = all
	b.table(w, false)
	return nil
}

// transplant lays one fault over one pass and screens it.
func (b *bench) transplant(w io.Writer, k demo.Kind, gr demo.Grade, c demo.Car, i int, o openPass, hosts []openPass, notes *car.Notes) error {
	r := xrand.Stream(b.seed, fmt.Sprintf("transplant/%s/%s/%d", k, gr, i))
	f, ok := c.MakeFault(k, gr, r.Uint64())
	if n := o.rec.Note; !ok || k == demo.NitrousFault && (n == nil || n.Nitrous == nil || !*n.Nitrous) {
		return nil
	}
	f.Always = false
	set := c.Usual()
	set.Nitrous = k == demo.NitrousFault
	st := demo.HomeStrip()
	wx := demo.DrawWeather(st, r.Uint64())
	d, ok := demo.Displace(c, demo.PassOptions{ID: "d", When: "2033-06-11 10:20", Settings: &set, Weather: &wx, Strip: &st, Sensors: "full", Fault: &f}, r.Uint64())
	if !ok {
		return nil
	}
	sheet, err := car.ParseSheet(c.ID+".toml", c.SheetTOML())
	if err != nil {
		return err
	}
	x := laying(d, wx.Pressure, sheet.Driven, o)
	x.knocks = k == demo.KnockFault || k == demo.Overboost || k == demo.ChargeHeat || k == demo.MixtureLean
	onset := x.onset()
	if !d.Shown(x.has) || math.IsNaN(onset) {
		return nil
	}
	found, err := o.passes(x.set(), notes)
	if err != nil {
		return fmt.Errorf("%s %s on %s: %w", k, gr, o.name, err)
	}
	out := b.judge(outcome{kind: string(k), grade: string(gr), car: c.ID + " on " + o.name, visible: true}, o, found[o.index].rec, hosts, onset)
	if b.verbose {
		for side, v := range []verdict{out.with, out.without} {
			if side == 0 && out.set == few {
				continue
			}
			fmt.Fprintf(w, "%-20s %-8s %-28s %-9s strength %4.1f", k, gr, out.car, []string{out.set, "alone"}[side], v.res.Strength)
			if v.found {
				fmt.Fprintf(w, "  %s %.1f s: %.110s", v.res.Findings[0].Kind, v.off, v.res.Findings[0].Evidence)
			}
			fmt.Fprintln(w)
		}
	}
	return nil
}

// few marks an outcome whose car has too few other healthy passes for a history.
const few = "few before"

// judge screens a pass of a host against its car's other healthy passes and alone, and
// keeps what came out.
func (b *bench) judge(out outcome, o openPass, rec health.Record, hosts []openPass, onset float64) outcome {
	var past []health.Summary
	for _, h := range hosts {
		if h.car == o.car && (h.name != o.name || h.index != o.index) {
			past = append(past, h.past)
		}
	}
	out.set = fmt.Sprintf("%d before", len(past))
	if len(past) < 3 {
		out.set = few
	}
	for side, p := range [][]health.Summary{past, nil} {
		v := verdict{off: math.NaN(), res: health.ScreenAgainst(rec, p, o.sheet, health.Options{Units: quantity.Metric})}
		if v.found = len(v.res.Findings) > 0; v.found {
			v.named = string(v.res.Findings[0].Kind) == out.kind
			v.off = v.res.Findings[0].Start - onset
		}
		if side == 0 {
			out.with = v
		} else {
			out.without = v
		}
	}
	b.outcomes = append(b.outcomes, out)
	return out
}
