package main

import (
	"context"

	"traplight/internal/app"
	"traplight/internal/report"
)

type planCmd struct {
	Car     []string `required:"" placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions: the last one is the car as it will be run." type:"path"`
	Notes   string   `placeholder:"NOTES.toml" help:"Notes of the passes, with the planned one and the strip." type:"path"`
	History []string `required:"" placeholder:"LOG" help:"Log of a pass before; repeat it: each makes the plan better." type:"path"`
	Next    string   `placeholder:"ID" help:"Planned pass of the notes whose settings and weather are the starting point."`
	Risk    float64  `default:"0.1" help:"Accepted chance, 0 to 1, of slip past the peak in a gear, or of boost not reached. Hard limits do not depend on it."`
	Bold    bool     `help:"More than one step beyond what was run, up to the limits of the sheet."`
	Seed    uint64   `default:"0" help:"Another seed draws other luck."`
	Units   string   `enum:"auto,us,metric,si" default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON    bool     `name:"json" help:"Print as JSON, all SI."`
}

func (*planCmd) Help() string {
	return `Chooses boost by gear and shift speeds for the highest expected trap speed within the limits: tyres and boost control with the chance you accept, hard limits of the car sheet, tyres and runway together with at most 1 in 100. It says what binds in each gear, what relaxing it would bring, and which settings were not run before. A key of the sheet or the notes that is not understood is refused here.

After 'stand down', or with no verdict on the last pass, this is a plan to look at and no card, until what was inspected and found is in the notes (inspected = "...").

Examples:
  traplight plan --car car.toml --notes passes.toml --history p1.csv --history p2.csv
  traplight plan --car car.toml --notes passes.toml --history p2.csv --risk 0.05 --json` + exitCodes
}

func (c *planCmd) Run(ctx context.Context, w *world) error {
	p, err := app.Plan(ctx, app.PlanRequest{ForecastRequest: app.ForecastRequest{Cars: c.Car, Notes: c.Notes, History: c.History, Next: c.Next,
		Seed: c.Seed, Progress: w.progress()}, Risk: c.Risk, Bold: c.Bold})
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, p.Plan.Answer())
	}
	return p.Plan.WriteText(w.out, report.World(c.Units, p.Sheet.Units))
}
