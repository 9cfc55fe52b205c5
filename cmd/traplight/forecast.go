package main

import (
	"context"
	"fmt"
	"slices"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/forecast"
	"traplight/internal/report"
)

type forecastCmd struct {
	Car     []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions: the last one is the car as it will be run. Or the name of a car in the store: all its passes serve. Without it the store's sheet serves." type:"path"`
	Notes   string   `placeholder:"NOTES.toml" help:"Notes of the passes, with the planned one." type:"path"`
	History []string `placeholder:"LOG" help:"Log of a pass before, or a pass in the store by name; repeat it: each makes the forecast better. Without it, those in the store of the car run last." type:"path"`
	Next    string   `placeholder:"ID" help:"The planned pass in the notes; without it the same again is forecast."`
	Without []string `placeholder:"PART" enum:"ledger" help:"Leave a part out: ledger, where the speed would go."`
	Record  string   `placeholder:"FILE" help:"Write the forecast down, with time and hash, at the end of this file, before the pass is run." type:"path"`
	Keep    bool     `help:"Write the forecast down in the store, with time and hash, before the pass is run."`
	Came    string   `placeholder:"LOG" help:"Log of the pass that came: score the forecast recorded for --next, twice, and write the score into the file of --record, without it into the store." type:"path"`
	Seed    uint64   `default:"0" help:"Another seed draws other luck."`
	Units   string   `enum:"auto,us,metric,si" default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON    bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*forecastCmd) Help() string {
	return `Says what a planned pass will bring: trap speed and time with an interval that holds nine times in ten, the chance of the target, top speed and the way to a stop. The car is fitted to its own passes; weather, wind, grip and the driver's hand vary as they do. The planned entry of the notes states what is to be changed (boost, shift and launch engine speed, nitrous, weight, tyres, weather; see traplight help notes). A key of the sheet or the notes that is not understood is refused here.

Examples:
  traplight forecast --car car_marl.toml --notes passes.toml --history m05_marl.csv --history m06_marl.csv --next m06-q1
  traplight forecast --next m06-q1 --keep
  traplight forecast --car car_marl.toml --notes passes.toml --history m06_marl.csv --next m06-q1 --record forecasts.jsonl
  traplight forecast --car car_marl.toml --notes passes.toml --history m06_marl.csv --next m06-q1 --record forecasts.jsonl --came m07_marl.csv` + exitCodes
}

func (c *forecastCmd) Run(ctx context.Context, w *world) error {
	n, err := app.ResolveHistory(ctx, c.Data, programName(), c.History, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	q := app.ForecastRequest{Cars: n.Cars, Notes: n.Notes, History: n.History, Next: c.Next, Seed: c.Seed,
		Draws: w.effort.Draws, Members: w.effort.Members, Ledger: !slices.Contains(c.Without, "ledger"), Records: c.Record, Said: n.Said, Progress: w.progress()}
	if c.Came != "" {
		return c.score(ctx, w, q)
	}
	r, f, err := app.Forecast(ctx, q)
	w.progressDone()
	if err != nil {
		return err
	}
	a := r.Answer()
	if c.Record != "" {
		if err := app.RecordForecast(c.Record, f, r, a, w.now()); err != nil {
			return err
		}
	}
	if c.Keep {
		if err := c.keep(ctx, f, r); err != nil {
			return err
		}
	}
	if c.JSON {
		return report.WriteJSON(w.out, a)
	}
	return r.WriteText(w.text(), report.World(c.Units, f.Sheet.Units))
}

func (c *forecastCmd) keep(ctx context.Context, f *app.Fitted, r *forecast.Result) error {
	s, err := c.open(ctx, false)
	if err != nil {
		return err
	}
	defer s.Close()
	return s.KeepForecast(ctx, f, r)
}

func (c *forecastCmd) score(ctx context.Context, w *world, q app.ForecastRequest) error {
	scored, sheet, err := c.scored(ctx, w, q)
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, scored)
	}
	return scored.WriteText(w.text(), report.World(c.Units, sheet.Units))
}

// scored scores against the file of records, else against the store.
func (c *forecastCmd) scored(ctx context.Context, w *world, q app.ForecastRequest) (*forecast.Scored, *car.Sheet, error) {
	if c.Record != "" {
		return app.ScoreForecast(ctx, q, c.Record, c.Came, w.now())
	}
	s, err := c.open(ctx, false)
	if err != nil {
		return nil, nil, fmt.Errorf("%w, or in the store: %w", app.ErrNoRecords, err)
	}
	defer s.Close()
	return s.ScoreForecast(ctx, q, c.Came)
}
