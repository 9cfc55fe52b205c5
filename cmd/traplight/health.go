package main

import (
	"context"

	"traplight/internal/app"
)

type healthCmd struct {
	Logs     []string `arg:"" name:"log" help:"Log files, or passes in the store by name." type:"path"`
	Car      []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions. Or the name of a car in the store. Without it the store's serves." type:"path"`
	Notes    string   `placeholder:"NOTES.toml" help:"Notes of the passes: weather and settings make the comparison fair." type:"path"`
	History  []string `placeholder:"LOG" help:"Earlier log of the same car; may be repeated." type:"path"`
	Shop     []string `placeholder:"LOG" help:"Log of another car of the shop, its sheet among --car: while this car has fewer than six clear passes, how far the others wander from pass to pass tells what is usual; from four passes of a car on; may be repeated." type:"path"`
	Provoked []string `placeholder:"LOG" help:"Log of a run on which knock was provoked on purpose, to find the level at which this engine really knocks; may be repeated." type:"path"`
	Units    string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON     bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*healthCmd) Help() string {
	return `Answers whether the car is fit to go again: compares every pass with the car's own earlier passes at the same conditions, with physics and with the sheet's limits. Says what was judged, what was not for want of a channel, since which moment something is not as it was, and what to look at first. Without --history, physics and the pass's own course serve, and it is said.

From three earlier passes on it proposes limits to arm in the engine computer, and shows what drifts.

Examples:
  traplight health m06_marl.csv --car car_marl.toml --notes passes.toml --history m04_marl.csv --history m05_marl.csv
  traplight health m01_marl.csv --car car_marl.toml --json
  traplight health last` + exitCodes
}

func (c *healthCmd) Run(ctx context.Context, w *world) error {
	n, err := app.Resolve(ctx, c.Data, programName(), c.Logs, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	q := app.HealthRequest{
		Logs: n.Logs, Cars: n.Cars, Notes: n.Notes, CarOf: n.CarOf, History: append(n.History, c.History...), Provoked: c.Provoked, Shop: c.Shop, Units: c.Units, Progress: w.progress(),
	}
	if p, ok := n.First(); ok && len(c.Shop) == 0 {
		others, err := app.Others(ctx, c.Data, programName(), p)
		if err != nil {
			return err
		}
		defer others.Close()
		q.Beside(others)
	}
	a, err := app.Health(ctx, q)
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return a.WriteJSON(w.out)
	}
	return a.WriteText(w.text())
}
