package main

import (
	"context"

	"traplight/internal/app"
)

type setupCmd struct {
	Logs  []string `arg:"" name:"log" help:"Log files, ':2' behind one picks its second pass; or passes in the store by name."`
	Car   []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions. Or the name of a car in the store. Without it the store's serves." type:"path"`
	Notes string   `placeholder:"NOTES.toml" help:"Notes of the passes." type:"path"`
	Units string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON  bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*setupCmd) Help() string {
	return `Tells with which settings a pass was run, as noted and as the log shows them: boost target and shift speed by gear, launch engine speed, nitrous, tyre pressure, mass, fuel, mixture and ignition. Of several passes it tells what was set otherwise than for the first.

Examples:
  traplight setup m03_marl.csv --car car_marl.toml --notes passes.toml
  traplight setup m02_marl.csv m03_marl.csv --car car_marl.toml --notes passes.toml
  traplight setup marl-2033-06-11-1 last` + exitCodes
}

func (c *setupCmd) Run(ctx context.Context, w *world) error {
	n, err := app.Resolve(ctx, c.Data, programName(), c.Logs, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	a, err := app.Setup(ctx, app.SetupRequest{Logs: n.Numbered(), Cars: n.Cars, Notes: n.Notes, CarOf: n.CarOf, Progress: w.progress()})
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return a.WriteJSON(w.out)
	}
	return a.WriteText(w.text(), c.Units)
}
