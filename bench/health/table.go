package main

import (
	"fmt"
	"io"
	"math"
	"sort"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
)

// tally counts the passes of one row of the table.
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
		if o.change != "" {
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
		grade, _, _ := strings.Cut(o.grade, " ")
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
		if o.change != "" {
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
