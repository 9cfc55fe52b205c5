package main

import (
	"context"
	"fmt"

	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

type verifyCmd struct {
	Repair bool `help:"Put right what can be put right without losing anything."`
	JSON   bool `name:"json" help:"Print as JSON."`
	storeFlags
}

func (*verifyCmd) Help() string {
	return `Reads everything in the store and holds it against its SHA-256: logs, reports, sheets, notes, forecasts, the journal; and checks the database. Says what is wrong and what would help.

Examples:
  traplight verify
  traplight verify --repair` + exitCodes
}

func (c *verifyCmd) Run(ctx context.Context, w *world) error {
	s, err := c.open(ctx, false)
	if err != nil {
		return err
	}
	defer s.Close()
	var done []string
	if c.Repair {
		if done, err = s.Repair(ctx); err != nil {
			return err
		}
	}
	check, err := s.Verify(ctx, w.counting("verifying"))
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		err = report.WriteJSON(w.out, struct {
			Repaired []string `json:"repaired"`
			*store.Check
		}{append([]string{}, done...), check})
	} else {
		for _, line := range done {
			fmt.Fprintln(w.out, line)
		}
		fmt.Fprintf(w.out, "%s (%.1f MB), %s, %s, %s, %s read\n", quantity.Count(check.Logs, "log", "logs"), float64(check.Bytes)/1e6, quantity.Count(check.Passes, "pass", "passes"),
			quantity.Count(check.Reports, "report", "reports"), quantity.Count(check.Forecasts, "forecast", "forecasts"), quantity.Count(check.Lines, "journal line", "journal lines"))
		for _, f := range check.Faults {
			fmt.Fprintf(w.out, "%s\n  %s\n", f.What, f.Hint)
		}
	}
	if n := len(check.Faults); err == nil && n > 0 {
		err = fmt.Errorf("%s not as written", quantity.Count(n, "thing is", "things are"))
	} else if err == nil && !c.JSON {
		fmt.Fprintln(w.out, "all is as it was written")
	}
	return err
}
