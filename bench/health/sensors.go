package main

import (
	"fmt"
	"hash/fnv"
	"io"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reconstruct"
)

// movesPass are the quantities by which a pass is reconstructed; the others alter
// nothing but what is judged.
func movesPass(q quantity.Name) bool {
	switch q {
	case quantity.WheelSpeedFL, quantity.WheelSpeedFR, quantity.WheelSpeedRL, quantity.WheelSpeedRR, quantity.DrivenSpeed, quantity.VehicleSpeed,
		quantity.GPSSpeed, quantity.Latitude, quantity.Longitude, quantity.Altitude, quantity.AccelerationLong, quantity.AccelerationLat,
		quantity.EngineSpeed, quantity.Throttle, quantity.Pedal, quantity.Gear, quantity.Clutch, quantity.Brake, quantity.LaunchControl,
		quantity.ManifoldPressure, quantity.BarometricPressure, quantity.AmbientTemperature, quantity.TorqueCut:
		return true
	}
	return false
}

// What became of an alteration.
const (
	asSensor  = iota // that channel's sensor is doubted first, and no engine fault is raised
	asOther          // another channel's sensor
	asNothing        // nothing found
	asBoth           // the sensor first, an engine fault beside it
	asEngine         // an engine fault first
	asUnread         // the log holds no pass any more
)

var outcomeNames = []string{"sensor", "other sensor", "nothing", "both", "engine", "no pass"}

// trial is one alteration of one log.
type trial struct {
	log     *openLog
	channel int
	alt     altered
	with    bool // with the car's history
	became  int
	res     health.Result
}

// sensors screens healthy open logs in which one channel at a time goes wrong by itself,
// as the program would read such a file, with the car's history and without, and
// prints alteration by outcome. Logs, quantities and alterations that do not hold
// only in "log quantity alteration" are left out; every is how many to skip less one.
func (b *bench) sensors(w io.Writer, shared string, every int) ([]trial, error) {
	logs, notes, err := openLogs(shared)
	if err != nil {
		return nil, err
	}
	past := map[string][]health.Summary{} // by car, of logs other than the first healthy one
	base := map[string]*openLog{}
	var bases []*openLog
	for _, l := range logs {
		res, err := reconstruct.Passes(l.set, l.sheet, notes, reconstruct.Options{File: l.name + ".csv"})
		if err != nil || len(res.Passes) != len(l.kinds) {
			return nil, fmt.Errorf("%s: %d passes, %w", l.name, len(res.Passes), err)
		}
		for i, p := range res.Passes {
			if l.kinds[i] != "" {
				continue
			}
			if base[l.car] == nil {
				base[l.car] = l
				l.launch = p.Launch.Value
				bases = append(bases, l)
				continue
			}
			past[l.car] = append(past[l.car], health.Summarise(health.Record{Name: l.name, Set: l.set, Pass: p, Note: notes.For(l.name+".csv", i), Clear: true}, l.sheet))
		}
	}
	var jobs []trial
	for _, l := range bases {
		for ci := range l.set.Channels {
			c := &l.set.Channels[ci]
			if c.Quantity == quantity.Unknown || c.Quantity == "" || c.Trace.Len() < 10 {
				continue
			}
			for _, a := range alterations {
				if strings.Contains(l.name+" "+string(c.Quantity)+" "+a.name, b.only) {
					jobs = append(jobs, trial{log: l, channel: ci, alt: a})
				}
			}
		}
	}
	var wg sync.WaitGroup
	tokens := make(chan struct{}, min(b.workers, runtime.NumCPU()))
	out := make([][]trial, len(jobs))
	for k, j := range jobs {
		if k%every != 0 {
			continue
		}
		wg.Add(1)
		tokens <- struct{}{}
		go func() {
			defer wg.Done()
			out[k] = j.run(notes, past[j.log.car])
			<-tokens
		}()
	}
	wg.Wait()
	all := slices.Concat(out...)
	tableOfTrials(w, all, b.verbose)
	return all, nil
}

// run reads, reconstructs and judges the altered log.
func (j trial) run(notes *car.Notes, past []health.Summary) []trial {
	l := j.log
	c := &l.set.Channels[j.channel]
	col := slices.IndexFunc(l.log.Columns, func(x logfile.Column) bool { return x.Name == c.Name })
	h := fnv.New64a()
	fmt.Fprint(h, l.name, c.Name, j.alt.name)
	log := alter(l.log, col, j.alt, l.launch+afterLaunch, rand.New(rand.NewPCG(h.Sum64(), 7)))
	var out []trial
	for _, hist := range [][]health.Summary{nil, past} {
		if hist == nil && len(out) > 0 {
			continue
		}
		t := j
		t.with = len(hist) > 0
		out = append(out, t)
	}
	unread := func() []trial {
		for i := range out {
			out[i].became = asUnread
		}
		return out
	}
	set, err := dictionary.Identify(log, l.given)
	if err != nil {
		return unread()
	}
	from := l.set
	if movesPass(c.Quantity) {
		from = set
	}
	res, err := reconstruct.Passes(from, l.sheet, notes, reconstruct.Options{File: l.name + ".csv"})
	if err != nil || len(res.Passes) == 0 {
		return unread()
	}
	rec := health.Record{Name: l.name, Set: set, Pass: res.Passes[0], Note: notes.For(l.name+".csv", 0)}
	for i := range out {
		t := &out[i]
		var hist []health.Summary
		if t.with {
			hist = past
		}
		t.res = health.ScreenAgainst(rec, hist, l.sheet, health.Options{Units: quantity.Metric})
		t.became = t.outcome(c.Name)
	}
	return out
}

func (t *trial) outcome(name string) int {
	fs := t.res.Findings
	if len(fs) == 0 {
		return asNothing
	}
	engine := slices.ContainsFunc(fs, func(f health.Finding) bool { return f.Kind != health.Sensor })
	switch {
	case fs[0].Kind != health.Sensor:
		return asEngine
	case engine:
		return asBoth
	case slices.ContainsFunc(fs, func(f health.Finding) bool { return slices.Contains(f.Channels, name) }):
		return asSensor
	}
	return asOther
}

// tableOfTrials prints alteration by outcome, and each engine fault raised.
func tableOfTrials(w io.Writer, all []trial, verbose bool) {
	for _, t := range all {
		if t.became != asEngine && t.became != asBoth && !verbose {
			continue
		}
		said := ""
		for _, f := range t.res.Findings {
			said += fmt.Sprintf(" [%s %.1f] %.150s", f.Kind, f.Score, f.Evidence)
			if !verbose {
				break
			}
		}
		side := "alone"
		if t.with {
			side = "with"
		}
		fmt.Fprintf(w, "%-20s %-5s %-20s %-7s %-7s %-10s%s\n", t.log.name, side, t.log.set.Channels[t.channel].Quantity, t.alt.name, outcomeNames[t.became], t.res.Verdict, said)
	}
	for _, with := range []bool{false, true} {
		fmt.Fprintf(w, "%-10s", map[bool]string{false: "alone", true: "with"}[with])
		for _, n := range outcomeNames {
			fmt.Fprintf(w, " %12s", n)
		}
		fmt.Fprintln(w)
		var sum [6]int
		line := func(name string, n [6]int) {
			fmt.Fprintf(w, "%-10s", name)
			for _, x := range n {
				fmt.Fprintf(w, " %12d", x)
			}
			fmt.Fprintln(w)
		}
		for _, a := range alterations {
			var n [6]int
			for _, t := range all {
				if t.with == with && t.alt.name == a.name {
					n[t.became]++
					sum[t.became]++
				}
			}
			line(a.name, n)
		}
		line("all", sum)
	}
}
