package main

import (
	"fmt"
	"io"
	"os"
	"sort"
	"strings"
	"sync"

	"traplight/internal/demo"
	"traplight/internal/health"
)

// history is the number of earlier passes a car has.
const history = 7

type bench struct {
	healthy, each, workers int
	past                   int  // of the history's passes, those that serve; 0 all
	shop                   bool // the other cars' passes serve as a prior
	first                  bool // no history is made, and only the first pass's side screened
	random                 int  // cars drawn, in place of the shop's; 0 none
	length                 int  // passes in a season
	changes                int  // healthy passes after each kind of change
	ill                    int  // faulty passes after each kind of change
	seed                   uint64
	kinds, cars, sets      []string     // empty: all
	grades                 []demo.Grade // empty: all
	picked                 []string     // sets of channels whose passes are made, each where it is among all; empty: all
	only                   string       // part of the names of the changes wanted; empty: all
	verbose                bool
	cache                  string

	mu       sync.Mutex
	outcomes []outcome
	failed   int
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
		if !wanted(b.picked, g.sensors) {
			continue
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
		for i := range b.ill {
			kinds := demo.Kinds()
			gr := []demo.Grade{demo.Gross, demo.Moderate}[(i+k)%2]
			jobs = append(jobs, job{g: gs[(8*i+k)%len(gs)], n: i, with: k + 1, kind: kinds[(5*i+3*k)%len(kinds)], grade: gr})
		}
	}
	for _, j := range jobs {
		if !wanted(b.picked, j.g.sensors) {
			continue
		}
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
		return fmt.Sprint(a.change, a.kind, a.grade, a.car, a.set) < fmt.Sprint(c.change, c.kind, c.grade, c.car, c.set)
	})
	return nil
}

func (b *bench) gradesWanted() []demo.Grade {
	if len(b.grades) > 0 {
		return b.grades
	}
	return demo.Grades()
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
