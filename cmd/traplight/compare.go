package main

import (
	"context"
	"encoding/json"
	"io"

	"traplight/internal/app"
	"traplight/internal/page"
	"traplight/internal/report"
)

type compareCmd struct {
	Logs  []string `arg:"" name:"log" help:"Logs whose passes are compared with the first, ':2' behind a name picks its second pass; or passes in the store by name."`
	Car   []string `placeholder:"CAR.toml" help:"Car sheet; may be repeated for revisions. Or the name of a car in the store. Without it the store's serves." type:"path"`
	Notes string   `placeholder:"NOTES.toml" help:"Notes of the passes." type:"path"`
	Units string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of text and page: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON  bool     `name:"json" help:"Print the comparison as JSON, all SI."`
	HTML  string   `name:"html" placeholder:"FILE" help:"Write the comparison as one self-contained page with its drawings." type:"path"`
	storeFlags
}

func (*compareCmd) Help() string {
	return `Lays two or more passes over each other along the strip and tells where the others gained and lost time and speed against the first, between which marks, and what differed there: shifts, boost recovery, torque, tyre slip.

Examples:
  traplight compare m02_marl.csv m03_marl.csv --car car_marl.toml
  traplight compare m02_marl.csv:1 m04_marl.csv:1 --car car_marl.toml --html both.html` + exitCodes
}

func (c *compareCmd) Run(ctx context.Context, w *world) error {
	n, err := app.Resolve(ctx, c.Data, programName(), c.Logs, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	r, err := app.Compare(ctx, app.CompareRequest{Logs: n.Numbered(), Cars: n.Cars, Notes: n.Notes, CarOf: n.CarOf, Progress: w.progress()})
	w.progressDone()
	if err != nil {
		return err
	}
	if c.HTML != "" {
		err := w.writeFile(c.HTML, pageBegins, func(out io.Writer) error {
			return page.WriteComparison(out, r.Comparison, r.Car, r.Units, r.Notes, page.Options{Units: c.Units})
		})
		if err != nil || !c.JSON {
			return err
		}
	}
	if c.JSON {
		a := r.Answer()
		a.Notes = append(a.Notes, r.Notes...)
		e := json.NewEncoder(w.out)
		e.SetIndent("", "  ")
		return e.Encode(a)
	}
	return r.WriteText(w.text(), report.World(c.Units, r.Units))
}
