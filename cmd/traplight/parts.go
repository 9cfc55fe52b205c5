package main

import (
	"context"
	"errors"

	"traplight/internal/app"
	"traplight/internal/report"
)

type partsCmd struct {
	Parts string   `arg:"" name:"parts" help:"Parts file: what each part is, since when, what wears it." type:"path"`
	Logs  []string `arg:"" name:"log" optional:"" help:"Logs of the passes that the parts were in." type:"path"`
	Car   []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions. Needed with logs." type:"path"`
	Notes string   `placeholder:"NOTES.toml" help:"Notes of the passes: their time, and passes of which there is no log." type:"path"`
	Units string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON  bool     `name:"json" help:"Print as JSON, all SI."`
}

func (*partsCmd) Help() string {
	return `What is used up: for each part by its serial number the passes, the time at full throttle and above the loads asked for, the cycles of its torque and their damage, how often its limit was passed, the life of parts of its kind, and when it is due.

The form of the parts file is in docs/life.md.

Examples:
  traplight parts parts.toml
  traplight parts parts.toml season/*.csv --car car.toml --notes passes.toml
  traplight parts parts.toml season/*.csv --car car.toml --json` + exitCodes
}

func (c *partsCmd) Run(ctx context.Context, w *world) error {
	if len(c.Logs) > 0 && len(c.Car) == 0 {
		return usageError{errors.New("logs need a car sheet: --car names it")}
	}
	r, err := app.Parts(ctx, app.PartsRequest{Parts: c.Parts, Cars: c.Car, Notes: c.Notes, Logs: c.Logs, Progress: w.progress()})
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, r.Result)
	}
	return r.WriteText(w.out, report.World(c.Units, r.Units))
}
