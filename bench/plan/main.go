// Plan runs the plans of package plan through the demo's generator, which shares
// no code with the model: the gain over the settings run, beside the gain of an
// oracle that optimises on the generator itself under the same limits, and how
// often each limit was passed against what the plan stated.
//
//	go run ./bench/plan [-cars 20] [-seeds 10] [-seed 1] [-keep DIR]
//
// Cars start as a sane owner would run them, under every limit with some room; a few that
// do not are reported besides. All cars are invented.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"math"
	"os"
	"os/signal"
	"slices"
	"time"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("plan: ")
	cars := flag.Int("cars", 20, "invented cars")
	seeds := flag.Int("seeds", 10, "passes to judge each plan")
	seed := flag.Uint64("seed", 1, "seed of the cars")
	oracle := flag.Bool("oracle", true, "optimise on the generator too")
	alone := flag.Bool("alone", false, "the oracle begins from the settings run alone: half the time")
	keep := flag.String("keep", "", "folder in which logs and the oracle's findings are kept between runs")
	wild := flag.Int("over", 4, "of cars that are run over a hard limit already, so many besides")
	only := flag.Int("only", -1, "one car alone")
	long := flag.Bool("long", false, "print settings and limits of each car")
	then := flag.Int("then", 0, "passes more that each follow a plan, planned and judged anew")
	apart := flag.Bool("parts", false, "with -long: what each of the oracle's settings would bring in the plan")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	dir := *keep
	if dir == "" {
		d, err := os.MkdirTemp("", "plan")
		if err != nil {
			log.Fatal(err)
		}
		defer os.RemoveAll(d)
		dir = d
	}
	s, over := summary{}, summary{}
	for i := 0; s.cars < *cars && i < 8**cars; i++ {
		if *only >= 0 && i != *only {
			continue
		}
		b := newBench(dir, *seed*1000+500+uint64(i), *seeds)
		b.then, b.apart, b.alone = *then, *apart, *alone
		if !b.sane && over.cars >= *wild {
			continue
		}
		r, err := b.one(ctx, *oracle && b.sane)
		if ctx.Err() != nil {
			log.Fatal("interrupted")
		}
		if err != nil {
			fmt.Printf("car %d: %v\n", i, err)
			continue
		}
		if b.sane {
			s.add(r)
		} else {
			over.add(r)
		}
		fmt.Println(i, r)
		if *long {
			fmt.Println(r.what)
		}
	}
	s.print()
	if over.cars > 0 {
		fmt.Printf("\n%d cars more were run over a hard limit already: in %d of them the plan refuses, tells it, or passes limits less often\n", over.cars, over.told)
	}
}

// tally compares how often something happened with what was stated.
type tally struct {
	seen             int
	stated, variance float64 // counts, and the binomial variance of the count
	of               int
}

func (t *tally) add(o tally) {
	t.seen, t.of, t.stated, t.variance = t.seen+o.seen, t.of+o.of, t.stated+o.stated, t.variance+o.variance
}

// see notes that of n passes seen were over a limit whose chance p was stated.
func (t *tally) see(p float64, seen, n int) {
	t.add(tally{seen, p * float64(n), p * (1 - p) * float64(n), n})
}

func (t *tally) String() string {
	sd := math.Sqrt(t.variance)
	return fmt.Sprintf("%4d of %5d, stated %6.1f ± %4.1f (%+.1f SD)", t.seen, t.of, t.stated, sd, (float64(t.seen)-t.stated)/max(sd, 0.01))
}

type result struct {
	id                           string
	base, plan, oracle, forecast float64 // m/s; forecast is the expected gain
	exceeded, before             int
	further, furtherHard         float64 // m/s, 0–1 stated: with boost by engine speed, where the plan offers it
	furtherOver                  int
	hard                         tally
	sane, already                bool
	limits                       map[string]*tally
	grip, short                  tally
	bins                         [5]tally // of grip, by what was stated
	later                        []later  // plans after passes that followed plans
	what, refused                string
	took                         time.Duration
}

func (r *result) share() float64 { return r.part(r.plan) }

// part is the share of the oracle's gain of a mean trap speed, m/s.
func (r *result) part(trap float64) float64 {
	if r.oracle-r.base > 0.1 {
		return (trap - r.base) / (r.oracle - r.base)
	}
	return math.NaN()
}

func (r *result) String() string {
	return fmt.Sprintf("%-6s as run %.2f m/s, plan %+.2f (forecast %+.2f), oracle %+.2f, share %.2f; hard passed %d (stated %.2f), as run %d; grip %d (%.1f); boost short %d (%.1f); %.1f s %s",
		r.id, r.base, r.plan-r.base, r.forecast, r.oracle-r.base, r.share(), r.exceeded, r.hard.stated, r.before,
		r.grip.seen, r.grip.stated, r.short.seen, r.short.stated, r.took.Seconds(), r.refused)
}

type summary struct {
	shares []float64
	beside []float64 // the same with boost by engine speed, which the oracle has not
	course tally     // any hard limit with it
	worse  int
	told   int // cars where the plan refuses, tells that a limit is passed already, or eases
	cars   int
	limits map[string]*tally
	bins   [5]tally
	took   []float64
	errs   []float64   // m/s, gain as forecast less gain found
	later  [][]float64 // shares by passes more
	over   []tally     // of any hard limit, the same
}

func (s *summary) add(r *result) {
	s.cars++
	if x := r.share(); !math.IsNaN(x) {
		s.shares = append(s.shares, x)
		s.beside = append(s.beside, r.part(r.further))
	}
	if r.furtherHard > 0 {
		s.course.see(r.furtherHard, r.furtherOver, r.hard.of)
	}
	if r.plan < r.base-0.02 {
		s.worse++
	}
	if r.refused != "" || r.already || r.exceeded < r.before {
		s.told++
	}
	if s.limits == nil {
		s.limits = map[string]*tally{}
	}
	for k, t := range r.limits {
		if s.limits[k] == nil {
			s.limits[k] = &tally{}
		}
		s.limits[k].add(*t)
	}
	for i := range s.bins {
		s.bins[i].add(r.bins[i])
	}
	s.took = append(s.took, r.took.Seconds())
	s.errs = append(s.errs, r.forecast-(r.plan-r.base))
	for k, l := range r.later {
		if k == len(s.later) {
			s.later, s.over = append(s.later, nil), append(s.over, tally{})
		}
		if r.oracle-r.base > 0.1 {
			s.later[k] = append(s.later[k], (l.trap-r.base)/(r.oracle-r.base))
		}
		s.over[k].see(l.hard, l.over, r.hard.of)
	}
}

func (s *summary) print() {
	slices.Sort(s.shares)
	slices.Sort(s.took)
	slices.Sort(s.errs)
	if n := len(s.shares); n > 0 {
		fmt.Printf("\nshare of the oracle's gain over %d cars: median %.2f, lowest quarter %.2f\n", n, s.shares[n/2], s.shares[n/4])
		slices.Sort(s.beside)
		fmt.Printf("with boost by engine speed, which the oracle has not: %.2f, %.2f; any hard limit %s\n", s.beside[n/2], s.beside[n/4], &s.course)
	}
	if s.cars == 0 {
		return
	}
	fmt.Printf("worse than as run in %d of %d; gain forecast too high by %.2f m/s in the median; a plan took %.1f s in the median\n", s.worse, s.cars, s.errs[len(s.errs)/2], s.took[len(s.took)/2])
	for k, x := range s.later {
		if slices.Sort(x); len(x) > 0 {
			fmt.Printf("after %d more, each run by the plan before: share %.2f, lowest quarter %.2f, over %d cars; any hard limit %s\n", k+1, x[len(x)/2], x[len(x)/4], len(x), &s.over[k])
		}
	}
	var names []string
	for k := range s.limits {
		names = append(names, k)
	}
	slices.Sort(names)
	for _, k := range names {
		fmt.Printf("  %-22s %s\n", k, s.limits[k])
	}
	for i, b := range s.bins {
		if b.of > 0 {
			fmt.Printf("  grip stated %-11s %s\n", binNames[i], &b)
		}
	}
}

var binNames = [5]string{"under 2 %", "2 to 6 %", "6 to 12 %", "12 to 40 %", "over 40 %"}

func bin(p float64) int {
	for i, top := range []float64{0.02, 0.06, 0.12, 0.4} {
		if p < top {
			return i
		}
	}
	return 4
}
