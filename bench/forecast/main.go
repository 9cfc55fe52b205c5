// Forecast forecasts planned passes from the passes before them and lays the
// answer beside the truth, with 'the same as last time' and a power-to-weight rule
// beside it; then the speed ledger beside the true counterfactuals.
//
//	go run ./bench/forecast [-cars 12] [-seed 1] [-only 3] [-variant no-boost] [-other] [-shared DIR] [-forecast=false] [-ledger=false] [-effects] [-levers]
//
// Two kinds of cases: the simulated logs of the folder shared/logs, and cars
// of package demo, which shares no code with the model. All of them are invented.
package main

import (
	"context"
	"flag"
	"fmt"
	"log"
	"os"
	"os/signal"
	"path/filepath"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/ledger"
)

func main() {
	log.SetFlags(0)
	log.SetPrefix("forecast: ")
	cars := flag.Int("cars", 12, "invented cars")
	seed := flag.Uint64("seed", 1, "seed of the invented cars")
	otherwise := flag.Bool("other", false, "invented cars that run by other forms of their laws, as in another simulator")
	only := flag.Int("only", -1, "number of the one invented car to run, from 0; -1 runs all")
	shared := flag.String("shared", "../shared/logs", "folder of simulated logs; empty to leave them out")
	withForecast := flag.Bool("forecast", true, "forecasts of planned passes beside the true ones")
	withLedger := flag.Bool("ledger", true, "ledger beside the true counterfactuals")
	keep := flag.String("keep", "", "folder in which invented logs and what was read from logs are kept between runs")
	withLevers := flag.Bool("levers", false, "instead of forecasts, what each lever brings to invented cars by the model beside what it brings with the same hand")
	pick := flag.String("lever", "", "of -levers only those whose name holds this")
	withEffects := flag.Bool("effects", false, "instead of forecasts, what each change brings by the model beside what it brings with the same hand")
	withNotes := flag.Bool("notes", false, "also what each forecast says is assumed")
	withParts := flag.Bool("parts", false, "also what each forecast's spread is made of, % of the trap speed")
	called := flag.String("variant", "plain", "what is left out of invented cars' logs and notes: "+variantNames())
	flag.Parse()
	left, err := variantByName(*called)
	if err != nil {
		log.Fatal(err)
	}
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	dir := *keep
	if dir == "" {
		d, err := os.MkdirTemp("", "forecast")
		if err != nil {
			log.Fatal(err)
		}
		defer os.RemoveAll(d)
		dir = d
	}
	if *otherwise { // what is kept of the two kinds must not be taken for one another
		dir = filepath.Join(dir, "other")
		if err := os.MkdirAll(dir, 0o755); err != nil {
			log.Fatal(err)
		}
	}
	if !*withForecast && !*withLedger {
		log.Fatal("nothing to measure: neither -forecast nor -ledger")
	}
	b := &bench{parts: *withParts, said: *withNotes, pick: *pick, levers: *withLevers, lever: map[string]*lever{}, forecast: *withForecast, account: *withLedger, dir: dir, variant: left, effect: *withEffects, scores: map[string]*score{}, ledger: newLedgerScore()}
	if *shared != "" {
		sets, err := sharedSets(*shared)
		if err != nil {
			log.Fatal(err)
		}
		for _, s := range sets {
			b.run(ctx, s)
		}
	}
	for i := range *cars {
		if *only >= 0 && i != *only {
			continue
		}
		s, err := inventedSet(filepath.Join(dir, left.folder(fmt.Sprintf("car%d-%d", *seed, i))), *seed*1000+uint64(i), left.form(), *otherwise)
		if err == nil {
			s.notes, err = left.notes(s.notes, filepath.Join(dir, left.name))
		}
		if err != nil {
			log.Fatal(err)
		}
		b.run(ctx, s)
	}
	if ctx.Err() != nil {
		log.Fatal("interrupted")
	}
	if b.levers {
		b.leverSummary()
		return
	}
	b.summary()
}

// set is one car with its passes.
type set struct {
	kind  string // "shared" or "invented"
	sheet string // path
	notes string // path
	logs  []string
	// next lists planned passes with the number of logs that come before them.
	next []nextCase
	made *made // by what an invented car's last pass was run; nil for a log
}

type nextCase struct {
	id     string
	before int
}

type bench struct {
	forecast, account bool // what is measured
	dir               string
	variant           *variant
	scores            map[string]*score
	changes           [6]score // by place in changes
	effect            bool     // effects instead of forecasts
	effects           effects
	parts             bool   // of each forecast's spread too
	said              bool   // the forecasts' notes too
	pick              string // of the levers those whose name holds this
	levers            bool   // levers instead of forecasts
	lever             map[string]*lever
	levered           []string // names in the order of the table
	ledger            *ledgerScore
	last              *app.Fitted // of the logs named in lastOf: plans after the same passes share it
	lastOf            string
}

func (b *bench) run(ctx context.Context, s set) {
	if b.levers {
		if err := b.pull(ctx, s); err != nil && ctx.Err() == nil {
			fmt.Printf("%-12s %v\n", filepath.Base(s.sheet), err)
		}
		return
	}
	if b.forecast {
		for _, n := range s.next {
			if err := b.one(ctx, s, n); err != nil && ctx.Err() == nil {
				fmt.Printf("%-12s %v\n", n.id, err)
			}
		}
	}
	if b.account {
		for _, l := range s.logs {
			if err := b.ledgerOf(ctx, s, l); err != nil && ctx.Err() == nil {
				fmt.Printf("%-12s ledger: %v\n", filepath.Base(l), err)
			}
		}
	}
}

func (b *bench) fit(ctx context.Context, s set, logs []string) (*app.Fitted, error) {
	of := strings.Join(logs, "\n")
	if b.last != nil && b.lastOf == of {
		return b.last, nil
	}
	obs, err := b.observations(ctx, s, logs)
	if err != nil {
		return nil, err
	}
	f, err := app.FitObservations(ctx, app.ForecastRequest{Cars: []string{s.sheet}, Notes: s.notes}, obs, 0)
	if err != nil {
		return nil, err
	}
	b.last, b.lastOf = f, of
	return f, nil
}

func (b *bench) one(ctx context.Context, s set, c nextCase) error {
	logs := s.logs[:c.before]
	if b.variant.onePass {
		logs = logs[c.before-1:]
	}
	f, err := b.fit(ctx, s, logs)
	if err != nil {
		return err
	}
	n, err := forecast.Prepare(f.Model, f.Notes, f.Notes.PlannedByID(c.id))
	if err != nil {
		return err
	}
	truth, last, same, err := trueTrap(logs[len(logs)-1], c.id)
	if err != nil {
		return err
	}
	if b.effect {
		b.effects.tell(f.Model, n, last, same, f.Notes.PlannedByID(c.id))
		return nil
	}
	r, err := forecast.Run(ctx, f.Model, n, forecast.Options{})
	if err != nil {
		return err
	}
	if b.parts {
		parts, err := forecast.Parts(ctx, f.Model, n, 200)
		if err != nil {
			return err
		}
		fmt.Printf("%-12s ±%.2f %%:", c.id, 100*r.Trap.SD/truth)
		for _, p := range parts {
			fmt.Printf("  %s %.2f", p.Name, 100*p.SD/truth)
		}
		fmt.Println()
	}
	if b.said {
		for _, n := range r.Notes {
			fmt.Printf("%-12s - %s\n", c.id, n)
		}
	}
	base := lastPass(f.Model)
	b.tell(s.kind, c.id, len(logs), r, truth, same, last, powerRule(base, n, last), f.Notes.PlannedByID(c.id))
	return nil
}

func lastPass(m *fitcar.Model) *fitcar.Observation { return m.Passes[len(m.Passes)-1].Obs }

func (b *bench) ledgerOf(ctx context.Context, s set, path string) error {
	truth, err := trueGains(path)
	if err != nil || truth == nil {
		return err
	}
	obs, err := b.observations(ctx, s, []string{path})
	if err != nil {
		return err
	}
	sheet, err := car.LoadSheet(s.sheet)
	if err != nil {
		return err
	}
	// as it was run: what a finding spoilt is part of the account
	m, err := fitcar.Fit(ctx, sheet, obs, fitcar.Options{})
	if err != nil {
		return err
	}
	for k := range m.Passes {
		i := m.Passes[k].Obs.Index
		if i >= len(truth) || truth[i] == nil {
			continue
		}
		lines, err := ledger.Of(ctx, m, k)
		if err != nil {
			return err
		}
		b.ledger.tell(s.kind, filepath.Base(path), lines, truth[i])
	}
	return nil
}
