// Command accuracy runs the report over simulated logs with known truth and
// prints, per quantity, the errors and whether the stated intervals hold them.
// It exits with 1 when a bound is missed.
//
//	go run ./bench/accuracy                       the logs in bench/accuracy/testdata
//	go run ./bench/accuracy -dir ../shared/logs   another folder of logs with truth
//	go run ./bench/accuracy -v -only a0           one line per log and quantity
//	go run ./bench/accuracy -variant units        the same logs in other units
//	go run ./bench/accuracy -variant all          every variant, a summary each
//	go run ./bench/accuracy -history others       with the car's other logs as its history
//	go run ./bench/accuracy -invented 40          logs of the demo's generator instead
//	go run ./bench/accuracy -spellings all        the logs written in odd ways (-dir, -only)
//	go run ./bench/accuracy -special all          passes that are not as passes usually are
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/signal"
	"slices"
	"strings"

	"traplight/internal/report"
)

type options struct {
	dir       string
	variant   string
	only      string
	quantity  string
	json      bool
	verbose   bool
	all       bool
	withSlip  bool
	pack      string
	invented  int
	seed      uint64
	special   string
	spellings string

	knowChannels bool
	history      string
}

func main() {
	var o options
	flag.StringVar(&o.dir, "dir", "", "folder with *.csv or *.csv.gz, *.truth.json, car_*.toml and passes.toml (default: the test data)")
	flag.StringVar(&o.variant, "variant", "plain", "variant of the logs: all, or one of "+variantNames())
	flag.StringVar(&o.only, "only", "", "only logs whose name begins so; several separated by commas")
	flag.StringVar(&o.quantity, "q", "", "with -v, only quantities whose name begins so")
	flag.BoolVar(&o.json, "json", false, "print everything as JSON")
	flag.BoolVar(&o.verbose, "v", false, "one line per log and quantity: error, standard deviation, error in standard deviations")
	flag.BoolVar(&o.all, "all", false, "the quantities without a bound too")
	flag.BoolVar(&o.withSlip, "slip", false, "let the timing slip of the notes count")
	flag.BoolVar(&o.knowChannels, "know-channels", false, "take the channels' meaning from the truth: the estimator alone is tested")
	flag.StringVar(&o.history, "history", "", "let the car's passes teach: others, all other logs of the car; before, those before alone; slips, all others with their timing slips")
	flag.IntVar(&o.invented, "invented", 0, "instead of -dir, make so many logs with the demo's generator")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of the invented logs")
	flag.StringVar(&o.special, "special", "", "instead of -dir, passes of a kind on -invented cars: all, or some of "+specialNames())
	flag.StringVar(&o.spellings, "spellings", "", "write the logs of -dir in odd ways and hold the reports against theirs: all, or parts of the ways' names")
	flag.StringVar(&o.pack, "pack", "", "write a compressed copy of -dir to this folder and stop")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	switch err := run(ctx, o, os.Stdout); {
	case err == nil:
	case errors.Is(err, errBeyond):
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(1)
	default:
		fmt.Fprintln(os.Stderr, "accuracy:", err)
		os.Exit(2)
	}
}

var errBeyond = errors.New("beyond the bounds")

func variantNames() string {
	var names []string
	for _, v := range variants {
		names = append(names, v.Name)
	}
	return strings.Join(names, ", ")
}

// Result is the outcome of one variant.
type Result struct {
	Variant  string   `json:"variant"`
	Healthy  []Line   `json:"healthy"`
	Faulty   []Line   `json:"faulty"`
	Findings Findings `json:"findings"`
	Fails    int      `json:"fails"`
}

func run(ctx context.Context, o options, w io.Writer) error {
	if o.pack != "" {
		return pack(o.dir, o.pack)
	}
	if o.spellings != "" {
		return runSpellings(ctx, o, w)
	}
	list := []Variant{}
	if o.variant == "all" {
		list = variants
	} else if v := variantByName(o.variant); v != nil {
		list = append(list, *v)
	} else {
		return fmt.Errorf("no variant %q; there are %s", o.variant, variantNames())
	}
	if o.special != "" {
		return runSpecials(ctx, o, list, w)
	}
	cases, err := loadCases(o)
	if err != nil {
		return err
	}
	return runCases(ctx, o, list, cases, w)
}

// runSpecials runs each special kind of pass by itself.
func runSpecials(ctx context.Context, o options, list []Variant, w io.Writer) error {
	var failed error
	for _, s := range specials {
		if o.special != "all" && !slices.Contains(splitList(o.special), s.name) {
			continue
		}
		cases, err := specialCases(o, s)
		if err != nil {
			return err
		}
		fmt.Fprintf(w, "#### %s: %s\n", s.name, s.what)
		if err := runCases(ctx, o, list, cases, w); errors.Is(err, errBeyond) {
			failed = err
		} else if err != nil {
			return err
		}
	}
	return failed
}

func runCases(ctx context.Context, o options, list []Variant, cases []*logCase, w io.Writer) error {
	fails := 0
	var results []Result
	for _, v := range list {
		r, err := runVariant(ctx, cases, v, o.history)
		if err != nil {
			return err
		}
		fails += r.Fails
		if o.json {
			results = append(results, *r)
			continue
		}
		printResult(w, r, &v, o)
	}
	if o.json {
		enc := json.NewEncoder(w)
		enc.SetIndent("", " ")
		if err := enc.Encode(results); err != nil {
			return err
		}
	}
	if fails > 0 {
		return fmt.Errorf("%d figures are %w", fails, errBeyond)
	}
	return nil
}

func runVariant(ctx context.Context, cases []*logCase, v Variant, history string) (*Result, error) {
	r := &Result{Variant: v.Name}
	for i, c := range cases {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		var past []report.Source
		if history != "" {
			past = historyOf(cases, i, v, history)
		}
		if err := c.run(v, past, &r.Findings); err != nil {
			r.Findings.Misses = append(r.Findings.Misses, Miss{Log: c.truth.ID, Healthy: true, What: err.Error()})
		}
	}
	r.Findings.Misses = slices.DeleteFunc(r.Findings.Misses, func(m Miss) bool {
		return strings.Contains(m.What, ": absent") && hasAnyPrefix(m.What, v.MayLack)
	})
	asked := v.bounds()
	r.Healthy = summarise(r.Findings.Rows, true, asked)
	r.Faulty = summarise(r.Findings.Rows, false, asked)
	for _, l := range r.Healthy {
		r.Fails += len(l.Fails)
	}
	if v.Ask > 0 && !v.Satellite {
		for _, m := range r.Findings.Misses {
			if m.Healthy {
				r.Fails++
			}
		}
	}
	return r, nil
}

// bounds are those of the issue, scaled to what the variant leaves to work with.
func (v *Variant) bounds() []Bound {
	var out []Bound
	for _, b := range bounds {
		switch {
		case v.Satellite:
			s, asked := satelliteOnly[b.Name]
			if asked {
				b.Median, b.P90 = s.Median, s.P90
			} else {
				b.Median, b.P90 = 0, 0
			}
			b.Honest = false
		case v.Ask == 0:
			b.Median, b.P90, b.Honest = 0, 0, false
		default:
			b.Median *= v.Ask
			if !b.OneSided {
				b.P90 *= v.Ask
			}
		}
		out = append(out, b)
	}
	return out
}

func printResult(w io.Writer, r *Result, v *Variant, o options) {
	fmt.Fprintf(w, "== %s: %s\n", v.Name, v.What)
	if o.verbose {
		for _, b := range bounds {
			if !strings.HasPrefix(b.Name, o.quantity) {
				continue
			}
			for _, row := range r.Findings.Rows {
				if row.Quantity != b.Name {
					continue
				}
				sick := ""
				if !row.Healthy {
					sick = "  (fault)"
				}
				fmt.Fprintf(w, "%-30s %-5s %d %-20s got %-12.6g want %-12.6g err %+9.4f %-4s sd %8.4f z %+6.2f%s\n",
					row.Quantity, row.Log, row.Pass, row.Where, row.Got, row.Want, row.Error, b.Unit, row.SD, row.Z(), sick)
			}
		}
	}
	if o.verbose {
		for _, n := range r.Findings.Notes {
			fmt.Fprintln(w, "NOTE", n)
		}
	}
	for _, m := range r.Findings.Misses {
		sick := ""
		if !m.Healthy {
			sick = "  (fault)"
		}
		fmt.Fprintf(w, "MISS %s %d: %s%s\n", m.Log, m.Pass, m.What, sick)
	}
	understood, wrong := namesLine(r.Findings.Names)
	for _, line := range wrong {
		fmt.Fprintln(w, line)
	}
	fmt.Fprintln(w, understood)
	fmt.Fprintln(w, "-- healthy passes")
	printLines(w, r.Healthy, o.all)
	if len(r.Faulty) > 0 && o.all {
		fmt.Fprintln(w, "-- passes with a fault (for information)")
		for i := range r.Faulty {
			r.Faulty[i].Fails = nil
		}
		printLines(w, r.Faulty, o.all)
	}
	fmt.Fprintf(w, "%d figures beyond bounds or missed\n\n", r.Fails)
}
