package main

import (
	"encoding/json"
	"fmt"
	"hash/fnv"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/logfile"
	"traplight/internal/num/stats"
	"traplight/internal/quantity"
	"traplight/internal/reconstruct"
	"traplight/internal/trace"
)

// kindsOfOpen translates the open logs' own names of faults.
var kindsOfOpen = map[string]health.Kind{"fuel_pump_fade": health.FuelSupply, "boost_leak": health.BoostLeak, "clutch_slip": health.ClutchSlip}

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

// openPass is one pass of the open logs and what is true of it.
type openPass struct {
	log, car string
	index    int
	kind     health.Kind // "" healthy
	rec      health.Record
	past     health.Summary
}

// varied screens the open simulated logs, each against its car's other healthy
// passes and alone, as they are and as poorer loggers would have kept them: the
// quantities left out one by one, fewer samples, more noise; in all passes alike,
// and in the judged pass only. Variations whose names do not contain only are left out.
func varied(w io.Writer, shared, only string) error {
	dir := filepath.Join(shared, "logs")
	notes, err := car.LoadNotes(filepath.Join(dir, "passes.toml"))
	if err != nil {
		return fmt.Errorf("no open logs: %w; give -shared", err)
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		return err
	}
	present := map[quantity.Name]bool{}
	sets := map[string]*dictionary.Set{}
	sheets := map[string]*car.Sheet{}
	kinds := map[string][]health.Kind{}
	for _, f := range files {
		name := strings.TrimSuffix(filepath.Base(f), ".csv")
		id := strings.Split(name, "_")[1]
		if sheets[id], err = car.LoadSheet(filepath.Join(dir, "car_"+id+".toml")); err != nil {
			return err
		}
		log, err := logfile.Open(f)
		if err != nil {
			return err
		}
		given := dictionary.Options{MixtureScale: sheets[id].LambdaScale}
		if n := notes.For(name+".csv", 0); n != nil {
			given.Barometer = n.Weather.Pressure
		}
		if sets[name], err = dictionary.Identify(log, given); err != nil {
			return err
		}
		for _, c := range sets[name].Channels {
			present[c.Quantity] = true
		}
		raw, err := os.ReadFile(filepath.Join(dir, name+".truth.json"))
		if err != nil {
			return err
		}
		var t struct {
			Passes []struct{ Faults []struct{ Type string } }
		}
		if err := json.Unmarshal(raw, &t); err != nil {
			return err
		}
		for _, p := range t.Passes {
			k := health.Kind("")
			if len(p.Faults) > 0 {
				k = kindsOfOpen[p.Faults[0].Type]
			}
			kinds[name] = append(kinds[name], k)
		}
	}
	vs := []variation{{"as they are", func(c dictionary.Channel, _ *rand.Rand) (dictionary.Channel, bool) { return c, true }},
		{"every second sample", thinned(2)}, {"every fourth sample", thinned(4)}, {"twice the scatter", noisier},
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
	names := make([]string, 0, len(sets))
	for n := range sets {
		names = append(names, n)
	}
	sort.Strings(names)
	passes := func(v variation) []openPass {
		var out []openPass
		for _, n := range names {
			id := strings.Split(n, "_")[1]
			h := fnv.New64a()
			h.Write([]byte(n + v.name))
			r := rand.New(rand.NewPCG(h.Sum64(), 5))
			set := *sets[n]
			set.Channels = nil
			for _, c := range sets[n].Channels {
				if c, ok := v.apply(c, r); ok {
					set.Channels = append(set.Channels, c)
				}
			}
			res, err := reconstruct.Passes(&set, sheets[id], notes, reconstruct.Options{File: n + ".csv"})
			if err != nil {
				fmt.Fprintf(w, "    %s: %v\n", n, err)
				continue
			}
			if len(res.Passes) != len(kinds[n]) {
				fmt.Fprintf(w, "    %s: %d passes found, %d are there\n", n, len(res.Passes), len(kinds[n]))
				continue
			}
			for i, p := range res.Passes {
				o := openPass{log: n, car: id, index: i, kind: kinds[n][i], rec: health.Record{Name: n, Set: &set, Pass: p, Note: notes.For(n+".csv", i), Clear: kinds[n][i] == ""}}
				o.past = health.Summarise(o.rec, sheets[id])
				out = append(out, o)
			}
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
					if p.car == o.car && p.kind == "" && (p.log != o.log || p.index != o.index) {
						hist = append(hist, p.past)
					}
				}
				res := health.ScreenAgainst(o.rec, hist, sheets[o.car], health.Options{Units: quantity.Metric})
				bad := res.Verdict == health.Inspect || res.Verdict == health.StandDown
				switch {
				case o.kind == "":
					healthy++
					if bad {
						wrong++
						told = append(told, fmt.Sprintf("%s not clear: %s (%.1f) %s", o.log, res.Findings[0].Kind, res.Findings[0].Score, res.Findings[0].Evidence))
					}
				default:
					faults++
					if !bad {
						told = append(told, fmt.Sprintf("%s missed (strength %.1f)", o.log, res.Strength))
						break
					}
					found++
					if res.Findings[0].Kind == o.kind {
						named++
					} else {
						told = append(told, fmt.Sprintf("%s named %s: %s", o.log, res.Findings[0].Kind, res.Findings[0].Evidence))
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
