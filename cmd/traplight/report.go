package main

import (
	"context"
	"errors"
	"io"

	"traplight/internal/app"
	"traplight/internal/forecast"
	"traplight/internal/page"
	"traplight/internal/report"
)

type reportCmd struct {
	Logs    []string `arg:"" name:"log" help:"Log files, or passes in the store by name." type:"path"`
	Car     []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions: the latest one that was valid at the pass applies. Or the name of a car in the store. Without it the store's serves." type:"path"`
	Notes   string   `placeholder:"NOTES.toml" help:"Notes of the passes: weather, settings, timing slip." type:"path"`
	History []string `placeholder:"LOG" help:"Earlier log of the same car, to compare its health with; may be repeated." type:"path"`
	Record  string   `placeholder:"FILE" help:"File of recorded forecasts: tell what was said of the pass, and how the forecasts have come out; without it the store's." type:"path"`
	Without []string `placeholder:"PART" enum:"ledger" help:"Leave a part out: ledger."`
	Units   string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON    bool     `name:"json" help:"Print the report as JSON, all SI."`
	HTML    string   `name:"html" placeholder:"FILE" help:"Write the report as one self-contained page with its drawings." type:"path"`
	storeFlags
}

func (*reportCmd) Help() string {
	return `Reads one or several logs of a car, finds every pass in them and tells what happened: time and speed at every mark, gears, shifts, torque, tyre slip, boost, air. Every number comes with its standard deviation (±). What a log cannot tell is said, with the channel that would tell it.

Examples:
  traplight report m03_marl.csv --car car_marl.toml
  traplight report m03_marl.csv --car car_marl.toml --notes passes.toml --units metric
  traplight report m03_marl.csv --car car_marl.toml --html pass3.html
  traplight report m03_marl.csv --car car_marl.toml --json > pass3.json
  traplight report last` + exitCodes
}

func (c *reportCmd) Run(ctx context.Context, w *world) error {
	n, err := app.Resolve(ctx, c.Data, programName(), c.Logs, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	if c.Record != "" {
		if n.Said, err = forecast.ReadRecords(c.Record); err != nil {
			return err
		}
	}
	q := app.ReportRequest{
		Logs: n.Logs, Picks: n.Picks, Cars: n.Cars, Notes: n.Notes, CarOf: n.CarOf, History: append(n.History, c.History...), Without: c.Without, Units: c.Units, Said: n.Said, Progress: w.progress(),
	}
	if p, ok := n.First(); ok {
		others, err := app.Others(ctx, c.Data, programName(), p)
		if err != nil {
			return err
		}
		defer others.Close()
		q.Beside(others)
	}
	r, sources, err := app.ReportAndSources(ctx, q)
	w.progressDone()
	if err != nil && !errors.Is(err, app.ErrNoPass) {
		return err
	}
	if perr := w.give(r, sources, c.JSON, c.HTML, c.Units); perr != nil {
		return perr
	}
	return err
}

// give hands a report over in the form that was asked for: a page in a file, JSON,
// else text.
func (w *world) give(r *report.Report, sources []report.Source, asJSON bool, html, units string) error {
	if html != "" {
		err := w.writeFile(html, pageBegins, func(out io.Writer) error {
			return page.Write(out, r, sources, page.Options{Units: units})
		})
		if err != nil || !asJSON {
			return err
		}
	}
	return w.printReport(r, asJSON, units)
}

func (w *world) printReport(r *report.Report, asJSON bool, units string) error {
	if asJSON {
		return report.WriteJSON(w.out, r)
	}
	return report.WriteText(w.out, r, report.TextOptions{Units: units, Width: w.width, Bold: w.colour()})
}
