// Command health measures the health screen against the demo's faults: how
// often each kind and grade is found, how often named rightly first, how near
// its start, and how often a healthy pass is not clear, with exact 95 % bounds;
// with the car's history and without. The passes are invented (package demo);
// the figures say how the screen does there and nowhere else.
package main

import (
	"flag"
	"fmt"
	"os"
	"strings"

	"traplight/internal/demo"
)

func main() {
	healthy := flag.Int("healthy", 60, "healthy passes")
	each := flag.Int("each", 3, "passes of each kind and grade")
	changes := flag.Int("changes", 0, "healthy passes after each kind of change that is no fault")
	ill := flag.Int("ill", 0, "faulty passes, gross and moderate by turns, after each kind of change that is no fault")
	seed := flag.Uint64("seed", 1, "seed")
	kinds := flag.String("kinds", "", "only these kinds, comma between; empty: all")
	only := flag.String("only", "", "only changes whose names contain this")
	protection := flag.Int("protection", 0, "instead: healthy passes on which the limits to arm are tried")
	first := flag.Bool("first", false, "screen passes of a car without history only")
	past := flag.Int("past", 0, "earlier passes that serve, of the history's 7; 0: all")
	shop := flag.Bool("shop", false, "take the other cars' passes for a prior")
	seasons := flag.Int("seasons", 0, "instead: seasons of each course, of drift, step and neither")
	length := flag.Int("length", 20, "passes in each of the -seasons, 13 at least")
	idle := flag.Int("idle", 0, "instead: healthy passes with 20 to 60 s of idling before and after, and -each passes of each fault that shows then")
	random := flag.Int("random", 0, "cars drawn at random, in place of the shop's seven, the sets of channels by turns")
	limit := flag.String("limit", "", "afterwards, what of the faults was in the log at all: of those missed, or of all")
	sets := flag.String("sets", "", "only these sets of channels (full, medium, poor), comma between; the others' passes are left out; empty: all")
	grades := flag.String("grades", "", "only these grades, comma between; empty: all")
	cars := flag.String("cars", "", "only these cars, comma between; empty: all")
	workers := flag.Int("workers", 1, "passes worked on at a time")
	cache := flag.String("cache", "", "folder that keeps the passes between runs; empty: none")
	open := flag.Bool("real", false, "screen the open measurements instead")
	logs := flag.Bool("logs", false, "screen the open simulated logs instead, as they are and as poorer loggers would have kept them; -only by name")
	sensors := flag.Bool("sensors", false, "screen healthy open logs in which one channel at a time goes wrong by itself instead; -only a part of \"log quantity alteration\"")
	every := flag.Int("every", 1, "of -sensors, only every n-th alteration")
	overlay := flag.Bool("transplant", false, "screen the open simulated logs instead, with the generator's faults laid over their healthy passes; -each, -kinds, -seed, -v")
	shared := flag.String("shared", "../shared", "folder of the open measurements")
	verbose := flag.Bool("v", false, "print every miss, wrong name and false alarm")
	flag.Parse()
	b := bench{healthy: *healthy, each: *each, changes: *changes, ill: *ill, seed: *seed, workers: *workers, verbose: *verbose, cache: *cache, past: *past, shop: *shop, only: *only, first: *first, random: *random, length: max(13, *length)}
	if *kinds != "" {
		b.kinds = strings.Split(*kinds, ",")
	}
	if *cars != "" {
		b.cars = strings.Split(*cars, ",")
	}
	if *sets != "" {
		b.picked = strings.Split(*sets, ",")
	}
	if *grades != "" {
		for _, g := range strings.Split(*grades, ",") {
			b.grades = append(b.grades, demo.Grade(g))
		}
	}
	var err error
	switch {
	case *open:
		err = real(os.Stdout, *shared)
	case *logs:
		err = varied(os.Stdout, *shared, *only)
	case *overlay:
		err = b.transplanted(os.Stdout, *shared)
	case *sensors:
		_, err = b.sensors(os.Stdout, *shared, max(1, *every))
	case *idle > 0:
		err = b.idling(os.Stdout, *idle)
	case *seasons > 0:
		err = b.seasons(os.Stdout, *seasons)
	case *protection > 0:
		err = b.protection(os.Stdout, *protection)
	default:
		if err = b.run(); err == nil {
			b.print(os.Stdout)
			if *limit != "" {
				b.limitTable(os.Stdout, *limit == "all")
			}
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "health:", err)
		os.Exit(1)
	}
}
