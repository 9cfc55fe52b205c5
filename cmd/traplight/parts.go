package main

import (
	"context"
	"errors"

	"traplight/internal/app"
	"traplight/internal/report"
	"traplight/internal/store/inbox"
)

type partsCmd struct {
	Parts  string   `arg:"" name:"parts" help:"Parts file: what each part is, since when, what wears it." type:"path"`
	Logs   []string `arg:"" name:"log" optional:"" help:"Logs of the passes that the parts were in, or passes in the store by name."`
	Car    []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions. Needed with logs that are not in the store. With --stored the name of the car whose parts these are." type:"path"`
	Notes  string   `placeholder:"NOTES.toml" help:"Notes of the passes: their time, and passes of which there is no log." type:"path"`
	Stored bool     `help:"Count every pass of the car in the store, and those that its notes name without a log."`
	Units  string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON   bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*partsCmd) Help() string {
	return `What is used up: for each part by its serial number the passes, the time at full throttle and above the loads asked for, the cycles of its torque and their damage, how often its limit was passed, the life of parts of its kind, and when it is due.

For the form of the parts file see traplight help life.

Examples:
  traplight parts parts.toml
  traplight parts parts.toml --stored
  traplight parts parts.toml m0*_marl.csv --car car_marl.toml --notes passes.toml
  traplight parts parts.toml m0*_marl.csv --car car_marl.toml --json` + exitCodes
}

func (c *partsCmd) Run(ctx context.Context, w *world) error {
	q := app.PartsRequest{Parts: c.Parts, Cars: c.Car, Notes: c.Notes, Progress: w.progress()}
	switch {
	case c.Stored && len(c.Logs) > 0:
		return usageError{errors.New("--stored counts every pass of the store; leave the logs out")}
	case c.Stored || len(c.Logs) > 0:
		names, sheets := c.Logs, c.Car
		if c.Stored {
			s, err := c.open(ctx, false)
			if err != nil {
				return err
			}
			names, err = s.NamesOf(ctx, c.Car)
			s.Close()
			if err != nil {
				return err
			}
			if len(sheets) == 1 && !inbox.IsSheetOrNotes(sheets[0]) {
				sheets = nil // a car's name
			}
		}
		n, err := app.Resolve(ctx, c.Data, programName(), names, sheets, c.Notes)
		if err != nil {
			return err
		}
		defer n.Close()
		if len(n.Cars) == 0 {
			return usageError{errors.New("logs need a car sheet: --car names it")}
		}
		q.Logs, q.Picks, q.Cars, q.Notes, q.CarOf = n.Logs, n.Picks, n.Cars, n.Notes, n.CarOf
		if c.Stored {
			q.Logs, q.Picks = n.Whole(), nil
		}
	}
	r, err := app.Parts(ctx, q)
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, r.Result)
	}
	return r.WriteText(w.text(), report.World(c.Units, r.Units))
}
