package main

import (
	"fmt"
	"io"
	"os"
	"sort"

	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/num/xrand"
)

// protection arms the limits that each car's history gives and counts how often the
// next healthy passes, n over all cars, would trip them, against the chance stated:
// 1 in 1000 as the owner is told, and two that so few passes can measure.
func (b *bench) protection(w io.Writer, n int) error {
	gs, err := b.garages()
	if err != nil {
		return err
	}
	for _, g := range gs {
		if err := g.remember(b.cache, b.seed, history); err != nil {
			return err
		}
	}
	var next []health.Summary
	var of []*garage
	for i := range n {
		g := gs[i%len(gs)]
		// The healthy passes of the table, so that both share a cache.
		r := xrand.Stream(b.seed, fmt.Sprintf("test/%s/%s///%d", g.car.ID, g.sensors, i))
		o := g.options(r, fmt.Sprintf("t%03d", i))
		rec, _, err := g.recall(b.cache, fmt.Sprintf("%d-%s-%s---%d", b.seed, g.car.ID, g.sensors, i), o, r.Uint64())
		if err != nil {
			fmt.Fprintln(os.Stderr, err)
			continue
		}
		next, of = append(next, health.Summarise(rec, g.sheet)), append(of, g)
	}
	fmt.Fprintf(w, "Limits to arm from %d healthy invented passes a car, tried on %d further ones.\n", history, len(next))
	for _, chance := range []float64{1e-3, 0.05, 0.2} {
		trips, seen := map[string]int{}, map[string]int{}
		all, tried := 0, 0
		for i, s := range next {
			for _, t := range health.ProtectionAt(of[i].past, chance) {
				hit, ok := t.Trips(s)
				if !ok {
					continue
				}
				seen[t.What]++
				tried++
				if hit {
					trips[t.What]++
					all++
				}
			}
		}
		p := stats.Binomial(all, tried)
		fmt.Fprintf(w, "stated %5.1f %%: tripped %d of %d = %.2f %% (95 %%: %.2f to %.2f)\n", 100*chance, all, tried, 100*p.P, 100*p.Low, 100*p.High)
		var names []string
		for k := range seen {
			names = append(names, k)
		}
		sort.Strings(names)
		for _, k := range names {
			q := stats.Binomial(trips[k], seen[k])
			fmt.Fprintf(w, "    %-40s %3d of %4d = %5.2f %% (%.2f to %.2f)\n", k, q.K, q.N, 100*q.P, 100*q.Low, 100*q.High)
		}
	}
	return nil
}
