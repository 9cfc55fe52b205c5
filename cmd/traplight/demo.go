package main

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"traplight/internal/app"
)

type demoCmd struct {
	Save  string `placeholder:"FOLDER" help:"Write the shop's files (car sheet, notes, parts, logs) to a folder, to try the other commands on." type:"path"`
	Pass  int    `default:"0" help:"Which log of the day to report, from 1; 0 means the last."`
	Seed  uint64 `default:"1" help:"Another seed gives another day."`
	Units string `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric or si (${env})."`
	JSON  bool   `name:"json" help:"Print the report as JSON, all SI."`
	Serve bool   `help:"Open the page with the whole day in it instead."`
	HTML  string `name:"html" placeholder:"FILE" help:"Write the report as one self-contained page with its drawings." type:"path"`
}

func (*demoCmd) Help() string {
	return `Invents a shop, its car and a day at the strip, and reports one of its passes as it would any other log. Nothing of it describes a real car.

Examples:
  traplight demo
  traplight demo --pass 3 --units metric
  traplight demo --serve
  traplight demo --save shop
  traplight report shop/m03_marl.csv --car shop/car_marl.toml --notes shop/passes.toml` + exitCodes
}

func (c *demoCmd) Run(ctx context.Context, w *world) error {
	if c.Serve && (c.JSON || c.HTML != "" || c.Save != "" || c.Pass != 0) {
		return usageError{errors.New("--serve shows the whole day; leave --json, --html, --save and --pass out")}
	}
	if c.Serve {
		return (&serveCmd{Demo: true, Seed: c.Seed, Units: c.Units, Guests: "read"}).Run(ctx, w)
	}
	if p := w.progress(); p != nil {
		p("inventing a day at the strip", 0, 1)
	}
	r, shop, err := app.Demo(ctx, app.DemoRequest{Seed: c.Seed, Save: c.Save, Pass: c.Pass})
	w.progressDone()
	if err != nil {
		return err
	}
	if err := w.give(r, shop.Sources, c.JSON, c.HTML, c.Units); err != nil {
		return err
	}
	if c.Save != "" {
		fmt.Fprintf(w.err, "traplight: %d logs written; try: traplight report %s --car %s --notes %s\n", len(shop.Logs),
			filepath.Join(c.Save, shop.Logs[0]), filepath.Join(c.Save, shop.Sheet), filepath.Join(c.Save, shop.Notes))
	}
	return nil
}
