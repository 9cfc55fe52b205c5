package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"sort"
	"strings"
	"sync"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/num/xrand"
	"traplight/internal/quantity"
)

// history is the number of earlier passes a car has.
const history = 7

type bench struct {
	healthy, each, workers int
	past                   int  // of the history's passes, those that serve; 0 all
	shop                   bool // the other cars' passes serve as a prior
	first                  bool // no history is made, and only the first pass's side screened
	random                 int  // cars drawn, in place of the shop's; 0 none
	changes                int  // healthy passes after each kind of change
	seed                   uint64
	kinds, cars, sets      []string     // empty: all
	grades                 []demo.Grade // empty: all
	only                   string       // part of the names of the changes wanted; empty: all
	verbose                bool
	cache                  string

	mu       sync.Mutex
	outcomes []outcome
	failed   int
}

// outcome is one screened pass.
type outcome struct {
	kind, grade string // "" for healthy
	car, set    string
	visible     bool
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

type job struct {
	g     *garage
	kind  demo.Kind
	grade demo.Grade
	n     int
	with  int // 1 + the change's place in the list; 0 none
}

func (b *bench) run() error {
	gs, err := b.garages()
	if err != nil {
		return err
	}
	var wg sync.WaitGroup
	tokens := make(chan struct{}, b.workers)
	errs := make([]error, len(gs))
	for i, g := range gs {
		if b.first {
			break
		}
		wg.Add(1)
		tokens <- struct{}{}
		go func() {
			defer wg.Done()
			errs[i] = g.remember(b.cache, b.seed, history)
			g.all = g.past
			if b.past > 0 && b.past < len(g.past) {
				g.past = g.past[:b.past]
			}
			<-tokens
		}()
	}
	wg.Wait()
	for i, e := range errs {
		if e != nil {
			fmt.Fprintf(os.Stderr, "%s %s: history: %v\n", gs[i].car.ID, gs[i].sensors, e)
		}
	}
	if b.shop {
		for _, g := range gs {
			var others [][]health.Summary
			for _, o := range gs {
				if o.car.ID != g.car.ID && o.sensors == g.sensors {
					others = append(others, o.all)
				}
			}
			g.shop = health.NewShop(others...)
		}
	}
	var jobs []job
	for i := range b.healthy {
		jobs = append(jobs, job{g: gs[i%len(gs)], n: i})
	}
	for ki, k := range demo.Kinds() {
		if !wanted(b.kinds, string(k)) {
			continue
		}
		for _, gr := range b.gradesWanted() {
			for i := range b.each {
				// Spread over cars and channel sets: 8 is prime to their number, 21.
				jobs = append(jobs, job{g: gs[(8*i+5*ki)%len(gs)], kind: k, grade: gr, n: i})
			}
		}
	}
	for k, c := range changed {
		if !strings.Contains(c.name, b.only) {
			continue // the others keep their cars
		}
		for i := range b.changes {
			jobs = append(jobs, job{g: gs[(8*i+k)%len(gs)], n: i, with: k + 1})
		}
	}
	for _, j := range jobs {
		wg.Add(1)
		tokens <- struct{}{}
		go func() {
			defer wg.Done()
			b.one(j)
			<-tokens
		}()
	}
	wg.Wait()
	sort.Slice(b.outcomes, func(i, k int) bool {
		a, c := b.outcomes[i], b.outcomes[k]
		return fmt.Sprint(a.kind, a.grade, a.car, a.set) < fmt.Sprint(c.kind, c.grade, c.car, c.set)
	})
	return nil
}

func (b *bench) gradesWanted() []demo.Grade {
	if len(b.grades) > 0 {
		return b.grades
	}
	return demo.Grades()
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
	grade := string(j.grade)
	if j.with > 0 {
		grade = changed[j.with-1].name
		if !changed[j.with-1].apply(j.g, &o, r) {
			return
		}
	}
	seed := r.Uint64()
	rec, tr, err := j.g.recall(b.cache, fmt.Sprintf("%d-%s-%s-%s-%s-%d", b.seed, j.g.car.ID, j.g.sensors, j.kind, grade, j.n), o, seed)
	if err != nil {
		b.mu.Lock()
		b.failed++
		b.mu.Unlock()
		fmt.Fprintln(os.Stderr, err)
		return
	}
	if j.with > 0 && changed[j.with-1].after != nil {
		changed[j.with-1].after(&rec, &o)
	}
	out := outcome{kind: string(j.kind), grade: grade, car: j.g.car.ID, set: j.g.sensors, visible: true, g: j.g, opts: o, seed: seed}
	obs := math.NaN()
	if tr != nil && len(tr.Passes) > 0 && len(tr.Passes[0].Faults) > 0 {
		f := tr.Passes[0].Faults[0]
		out.visible = tr.shown() && f.TObservable != nil
		if f.TObservable != nil {
			obs = *f.TObservable
		}
		if j.kind == demo.SensorFault {
			out.grade += " " + f.Detail.Channel + " " + f.Detail.Mode
		}
	}
	for k, past := range [][]health.Summary{j.g.past, nil} {
		v := verdict{off: math.NaN()}
		if k == 0 && b.first {
			continue
		}
		v.res = health.ScreenAgainst(rec, past, j.g.sheet, health.Options{Units: quantity.Metric, Shop: j.g.shop})
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

func (b *bench) print(w io.Writer) {
	if b.verbose {
		for _, o := range b.outcomes {
			b.tell(w, o)
		}
	}
	fmt.Fprintf(w, "Invented cars and faults; %d earlier passes a car; seed %d; %d passes could not be read.\n\n", history, b.seed, b.failed)
	for _, side := range []string{"with history", "first pass, no history"} {
		if side == "with history" && b.first {
			continue
		}
		fmt.Fprintf(w, "%s\n", side)
		b.table(w, side == "with history")
		b.curve(w, side == "with history")
		b.setsTable(w, side == "with history")
		fmt.Fprintln(w)
	}
	b.changesTable(w)
}

// cell is a row of the table.
type tally struct {
	n, found, named int
	offs            []float64
}

func (b *bench) table(w io.Writer, with bool) {
	tallies := map[[2]string]*tally{}
	var total [4]tally
	healthy := tally{}
	hidden, same, graded := 0, 0, 0
	for _, o := range b.outcomes {
		v := o.without
		if with {
			v = o.with
		}
		if o.kind == "" && o.grade != "" {
			continue
		}
		if o.kind == "" {
			healthy.n++
			if v.res.Verdict == health.Inspect || v.res.Verdict == health.StandDown {
				healthy.found++
			}
			continue
		}
		if !o.visible {
			hidden++
			continue
		}
		grade := o.grade
		if i := indexByte(grade, ' '); i >= 0 {
			grade = grade[:i]
		}
		k := [2]string{o.kind, grade}
		if tallies[k] == nil {
			tallies[k] = &tally{}
		}
		if v.named {
			graded++
			if string(v.res.Findings[0].Severity) == grade {
				same++
			}
		}
		gi := map[string]int{"subtle": 0, "moderate": 1, "gross": 2}[grade]
		for _, t := range []*tally{tallies[k], &total[gi], &total[3]} {
			t.n++
			if v.found {
				t.found++
				if v.named {
					t.named++
				}
				if v.named && !math.IsNaN(v.off) && gi >= 0 {
					t.offs = append(t.offs, math.Abs(v.off))
				}
			}
		}
	}
	h := stats.Binomial(healthy.found, healthy.n)
	fmt.Fprintf(w, "healthy passes not clear: %d of %d = %.1f %% (95 %%: %.1f to %.1f %%)\n", h.K, h.N, 100*h.P, 100*h.Low, 100*h.High)
	fmt.Fprintf(w, "%-20s %-9s %4s  %-22s %-22s %s\n", "kind", "grade", "n", "found % (95 %)", "named first % of found", "start off, s: median, 90 %")
	line := func(k, g string, t *tally) {
		p, q := stats.Binomial(t.found, t.n), stats.Binomial(t.named, t.found)
		fmt.Fprintf(w, "%-20s %-9s %4d  %5.1f (%5.1f to %5.1f)  %5.1f (%5.1f to %5.1f)  %.2f %.2f\n", k, g, t.n, 100*p.P, 100*p.Low, 100*p.High, 100*q.P, 100*q.Low, 100*q.High, stats.Median(t.offs), stats.Quantile(t.offs, 0.9))
	}
	for _, k := range demo.Kinds() {
		for _, g := range demo.Grades() {
			if t := tallies[[2]string{string(k), string(g)}]; t != nil {
				line(string(k), string(g), t)
			}
		}
	}
	for i, g := range []string{"subtle", "moderate", "gross", "all"} {
		if total[i].n > 0 {
			line("all kinds", g, &total[i])
		}
	}
	g := stats.Binomial(same, graded)
	fmt.Fprintf(w, "severity as the generator's: %d of %d = %.0f %% (95 %%: %.0f to %.0f %%); %d faults show in no logged signal and are not counted\n", g.K, g.N, 100*g.P, 100*g.Low, 100*g.High, hidden)
	b.confusion(w, with)
}

// confusion lists what each kind was taken for.
func (b *bench) confusion(w io.Writer, with bool) {
	taken := map[string]map[string]int{}
	for _, o := range b.outcomes {
		v := o.without
		if with {
			v = o.with
		}
		if !v.found || !o.visible {
			continue
		}
		k := o.kind
		if k == "" && o.grade != "" {
			continue
		}
		if k == "" {
			k = "healthy"
		}
		if taken[k] == nil {
			taken[k] = map[string]int{}
		}
		taken[k][string(v.res.Findings[0].Kind)]++
	}
	var kinds []string
	for k := range taken {
		kinds = append(kinds, k)
	}
	sort.Strings(kinds)
	fmt.Fprintln(w, "taken for:")
	for _, k := range kinds {
		type pair struct {
			k string
			n int
		}
		var ps []pair
		for x, n := range taken[k] {
			ps = append(ps, pair{x, n})
		}
		sort.Slice(ps, func(i, j int) bool { return ps[i].n > ps[j].n || ps[i].n == ps[j].n && ps[i].k < ps[j].k })
		fmt.Fprintf(w, "  %-20s", k)
		for _, p := range ps {
			fmt.Fprintf(w, " %s %d,", p.k, p.n)
		}
		fmt.Fprintln(w)
	}
}

func indexByte(s string, c byte) int {
	for i := range len(s) {
		if s[i] == c {
			return i
		}
	}
	return -1
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
		fmt.Fprintf(w, "%s %s/%s %s %s visible %v off %.2f verdict %q\n", side, o.car, o.set, o.kind, o.grade, o.visible, v.off, v.res.Verdict)
		for _, f := range v.res.Findings {
			fmt.Fprintf(w, "      %s %s score %.1f chance %.2g %v | %s\n", f.Kind, f.Severity, f.Score, f.Chance, f.Others, f.Evidence)
		}
	}
}
