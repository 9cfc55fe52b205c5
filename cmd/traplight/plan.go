package main

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"traplight/internal/app"
	"traplight/internal/report"
)

type planCmd struct {
	Car     []string `placeholder:"CAR.toml" help:"Car sheet; repeat it for revisions: the last one is the car as it will be run. Or the name of a car in the store: all its passes serve. Without it the store's sheet serves." type:"path"`
	Notes   string   `placeholder:"NOTES.toml" help:"Notes of the passes, with the planned one and the strip." type:"path"`
	History []string `placeholder:"LOG" help:"Log of a pass before, or a pass in the store by name; repeat it: each makes the plan better. Without it, those in the store of the car run last." type:"path"`
	Next    string   `placeholder:"ID" help:"Planned pass of the notes whose settings and weather are the starting point."`
	Risk    float64  `default:"0.1" help:"Accepted chance, 0 to 1, of slip past the peak in a gear, or of boost not reached. Hard limits do not depend on it."`
	Bold    bool     `help:"More than one step beyond what was run, up to the limits of the sheet."`
	For     string   `enum:"speed,target" default:"speed" help:"What is made as good as can be: speed, the expected trap speed; or target, the chance of the sheet's target in the passes left today."`
	Card    string   `placeholder:"FILE" help:"Write the pass card, one printed page: FILE ends in .pdf, .html or .txt." type:"path"`
	Seed    uint64   `default:"0" help:"Another seed draws other luck."`
	Units   string   `enum:"auto,us,metric,si" default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON    bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*planCmd) Help() string {
	return `Chooses boost by gear, shift speeds, launch engine speed and nitrous for the highest expected trap speed within the limits: tyres and boost control with the chance you accept, hard limits of the car sheet, tyres and runway together with at most 1 in 100. It says what binds in each gear, what relaxing it would bring, and which settings were not run before. A key of the sheet or the notes that is not understood is refused here.

After 'stand down', or with no verdict on the last pass, this is a plan to look at and no card, until what was inspected and found is in the notes (inspected = "...").

--card writes the one page for the next pass. There is none after 'stand down' or without a verdict before something was entered, and none when no settings hold the hard limits; the reason is told.

Examples:
  traplight plan --car car_marl.toml --notes passes.toml --history m05_marl.csv --history m06_marl.csv
  traplight plan --next m06-q1
  traplight plan --car car_marl.toml --notes passes.toml --history m06_marl.csv --risk 0.05 --json
  traplight plan --car car_marl.toml --notes passes.toml --history m06_marl.csv --next m06-q1 --card next.pdf` + exitCodes
}

func (c *planCmd) Run(ctx context.Context, w *world) error {
	if !(c.Risk > 0 && c.Risk < 1) {
		return usageError{fmt.Errorf("--risk %v: it is a chance above 0 and below 1, such as 0.1 for one pass in ten", c.Risk)}
	}
	n, err := app.ResolveHistory(ctx, c.Data, programName(), c.History, c.Car, c.Notes)
	if err != nil {
		return err
	}
	defer n.Close()
	if ext := strings.ToLower(filepath.Ext(c.Card)); c.Card != "" && ext != ".pdf" && ext != ".html" && ext != ".txt" {
		return usageError{fmt.Errorf("--card %s: the name must end in .pdf, .html or .txt", c.Card)}
	}
	q := app.PlanRequest{ForecastRequest: app.ForecastRequest{Cars: n.Cars, Notes: n.Notes, History: n.History, Next: c.Next,
		Seed: c.Seed, Draws: w.effort.Draws, Members: w.effort.Members, Progress: w.progress()}, Search: w.effort.Search, Risk: c.Risk, Bold: c.Bold, Inspected: n.Inspected, ForTarget: c.For == "target"}
	if last, ok := n.Last(); ok {
		others, err := app.Others(ctx, c.Data, programName(), last)
		if err != nil {
			return err
		}
		defer others.Close()
		q.Beside(others)
	}
	p, err := app.Plan(ctx, q)
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		err = report.WriteJSON(w.out, p.Plan.Answer())
	} else {
		err = p.Plan.WriteText(w.text(), report.World(c.Units, p.Sheet.Units))
	}
	if err != nil || c.Card == "" {
		return err
	}
	return c.write(p, w)
}

// write puts the card into its file, in the form that the name asks for.
func (c *planCmd) write(p *app.Planned, w *world) error {
	card, err := p.PassCard(c.Units, w.now().Format("2 January 2006, 15:04"))
	if err != nil {
		return err // the plan to look at stands above
	}
	form, begins := card.WriteText, cardBegins
	switch strings.ToLower(filepath.Ext(c.Card)) {
	case ".pdf":
		form, begins = card.WritePDF, pdfBegins
	case ".html":
		form, begins = card.WriteHTML, pageBegins
	}
	return w.writeFile(c.Card, begins, form)
}
