package main

import (
	"fmt"
	"io"
	"math"
	"os"
	"strings"

	"traplight/internal/demo"
	"traplight/internal/health"
	"traplight/internal/num/stats"
	"traplight/internal/num/xrand"
)

// ageings are slow or sudden changes of a car over a season, all smaller than the
// mildest fault at first, and the relation that shows each.
var ageings = []struct {
	kind  demo.Kind
	shown string // the relation, as health.Trend.What begins
}{
	{demo.OilSupply, "oil pressure for"},
	{demo.CrankcasePressure, "crankcase pressure"},
	{demo.ChargeHeat, "charge temperature"},
	{demo.DrivelineFault, "torque for"},
	{demo.ElectricalFault, "battery voltage"},
	{demo.FuelSupply, "fuel pressure over"},
	{demo.TurboOverspeed, "pressure lost before"},
}

// season is one car's passes with what was done to it.
type season struct {
	course string // "steady", "drift", "step"
	shown  string // the relation that must say so
	passes []health.Summary
	specs  map[string]health.Spec
	at     int // first pass after a step
}

// seasons screens the courses of n seasons of each kind, printed as how often the
// right course is named at the relation that shows it and how often any other
// relation is named, beside a general-purpose reference on the same numbers.
func (b *bench) seasons(w io.Writer, n int) error {
	b.sets = []string{"full"}
	gs, err := b.garages()
	if err != nil {
		return err
	}
	right, reference, named, seen := map[string]int{}, map[string]int{}, map[string]int{}, map[string]int{}
	told := map[string][]float64{} // by course, passes until the relation was first told not to be steady
	taken := map[string]int{}
	var off []float64
	relations, others := 0, 0
	for i := range n {
		for _, c := range []string{"steady", "drift", "step"} {
			s, err := b.season(gs[i%len(gs)], c, i)
			if err != nil {
				fmt.Fprintln(os.Stderr, err)
				continue
			}
			if s == nil {
				continue
			}
			seen[c]++
			if k := s.firstTold(); c != "steady" && k > 0 {
				if c == "step" {
					k -= s.at
				}
				told[c] = append(told[c], float64(k))
			}
			for _, t := range health.Trends(s.passes, s.specs) {
				relations++
				if !strings.HasPrefix(t.What, s.shown) {
					if t.Course != "steady" {
						others++
					}
					continue
				}
				if t.Course != "steady" {
					named[c]++
				}
				taken[c+" taken for "+t.Course]++
				if t.Course == c {
					right[c]++
				}
				if byBIC(t.Offset) == c {
					reference[c]++
				}
				if c == "step" && t.Course == c {
					for k, name := range t.Passes {
						if name == t.At {
							off = append(off, math.Abs(float64(k-s.at)))
						}
					}
				}
			}
		}
	}
	fmt.Fprintf(w, "Seasons of %d invented passes; the relation that shows what was done to the car.\n", b.length)
	for _, c := range []string{"steady", "drift", "step"} {
		p, q, r := stats.Binomial(right[c], seen[c]), stats.Binomial(named[c], seen[c]), stats.Binomial(reference[c], seen[c])
		fmt.Fprintf(w, "  %-7s named right %3d of %3d = %5.1f %% (95 %%: %.1f to %.1f), not steady %5.1f %%; smallest BIC of one level, line, two levels: right %5.1f %% (%.1f to %.1f)\n",
			c, p.K, p.N, 100*p.P, 100*p.Low, 100*p.High, 100*q.P, 100*r.P, 100*r.Low, 100*r.High)
	}
	fmt.Fprintln(w, " ", taken)
	fmt.Fprintf(w, "  step's first pass off by: median %.0f, 90 %% %.0f passes\n", stats.Median(off), stats.Quantile(off, 0.9))
	fmt.Fprintf(w, "  told first after: a drift in %d seasons, %.0f passes in the median, of %d; a step in %d, %.0f passes of the new level\n",
		len(told["drift"]), stats.Median(told["drift"]), b.length, len(told["step"]), stats.Median(told["step"]))
	fmt.Fprintf(w, "  other relations named: %d of %d in %d seasons\n", others, relations, seen["steady"]+seen["drift"]+seen["step"])
	return nil
}

// firstTold is the number of passes after which the relation that shows what was done is first
// named drifting or stepped; 0 never.
func (s *season) firstTold() int {
	for k := health.LeastCourse; k <= len(s.passes); k++ {
		for _, t := range health.Trends(s.passes[:k], s.specs) {
			if strings.HasPrefix(t.What, s.shown) && t.Course != "steady" {
				return k
			}
		}
	}
	return 0
}

// season runs or recalls a season; nil when the car cannot have that change.
func (b *bench) season(g *garage, course string, n int) (*season, error) {
	age := ageings[(n+n/len(ageings))%len(ageings)] // seven kinds on seven cars: each its own, and the next round the next
	r := xrand.Stream(b.seed, fmt.Sprintf("season/%s/%d", g.car.ID, n))
	s := &season{course: course, shown: age.shown, at: 6 + r.IntN(b.length-12)}
	for i := range b.length {
		one := xrand.Stream(b.seed, fmt.Sprintf("season/%s/%d/%d", g.car.ID, n, i))
		o := g.options(one, fmt.Sprintf("p%02d", i+1))
		o.Quirks, o.Driver.LiftAt = nil, 0
		f, ok := g.car.MakeFault(age.kind, demo.Subtle, uint64(n))
		if !ok {
			return nil, nil
		}
		// At its end the drift is what the step is.
		f.Always, f.Ramp = true, 0
		switch course {
		case "drift":
			f.Severity *= float64(i) / float64(b.length-1)
		case "step":
			if i < s.at {
				f.Severity = 0
			}
		default:
			f.Severity = 0
		}
		name := fmt.Sprintf("%d-%s-season-%d-%d-steady", b.seed, g.car.ID, n, i)
		if f.Severity > 0 {
			o.Fault = &f
			name = fmt.Sprintf("%d-%s-season-%d-%d-%.5g", b.seed, g.car.ID, n, i, f.Severity)
		}
		rec, _, err := g.recall(b.cache, name, o, one.Uint64())
		if err != nil {
			return nil, err
		}
		rec.Name = o.ID
		s.passes = append(s.passes, health.Summarise(rec, g.sheet))
		s.specs = health.Specs(rec, g.sheet)
	}
	return s, nil
}

// byBIC is the general-purpose reference: of one level, a least-squares line and two
// least-squares levels, the one with the smallest Bayesian information criterion
// (Schwarz 1978), with a coefficient for the place of the step.
func byBIC(x []float64) string {
	n := float64(len(x))
	rss := func(x []float64) float64 {
		_, sd := stats.MeanSD(x)
		return sd * sd * float64(len(x)-1)
	}
	mean, _ := stats.MeanSD(x)
	xy, xx := 0.0, 0.0
	for i, v := range x {
		d := float64(i) - (n-1)/2
		xy, xx = xy+d*(v-mean), xx+d*d
	}
	flat, two := rss(x), math.Inf(1)
	line := flat - xy*xy/xx
	for k := 2; k <= len(x)-2; k++ {
		two = min(two, rss(x[:k])+rss(x[k:]))
	}
	best, least := "steady", math.Inf(1)
	for _, c := range []struct {
		name   string
		rss, k float64
	}{{"steady", flat, 2}, {"drift", line, 3}, {"step", two, 4}} {
		if bic := n*math.Log(c.rss/n) + c.k*math.Log(n); bic < least {
			best, least = c.name, bic
		}
	}
	return best
}
