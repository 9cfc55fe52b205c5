package main

import (
	"fmt"
	"io"
	"regexp"

	"traplight/internal/app"
	"traplight/internal/report"
)

type carCmd struct {
	Sheet      string `arg:"" optional:"" help:"Car sheet to check; without it a commented sheet is printed." type:"path"`
	Notes      bool   `xor:"what" help:"Print a commented notes file instead."`
	Defaults   bool   `xor:"what" help:"Print what is assumed where a sheet says nothing."`
	Units      string `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the keys and of what is told: us or metric (${env}); without it what is printed has metric keys."`
	CheckNotes string `xor:"what" placeholder:"NOTES.toml" help:"Check a notes file." type:"path"`
}

func (*carCmd) Help() string {
	return `Without a file, prints a car sheet in which every key is explained; take the # away from what you know. With a file, tells what was understood, what is assumed for want of it, and each key that is not known with the nearest one that is.

Examples:
  traplight car > car.toml
  traplight car --units us > car.toml
  traplight car car_marl.toml
  traplight car --notes > notes.toml
  traplight car --check-notes passes.toml` + exitCodes
}

func (c *carCmd) Run(w *world) error {
	print := func(text string) error {
		_, err := io.WriteString(w.out, text)
		return err
	}
	keys := report.World(c.Units, "metric")
	switch {
	case c.Notes:
		return print(app.NotesToFillIn(keys))
	case c.Defaults:
		return print(app.SheetDefaults())
	case c.CheckNotes != "":
		if err := app.CheckNotes(c.CheckNotes); err != nil {
			return err
		}
		return print(fmt.Sprintf("%s: every key was understood\n", c.CheckNotes))
	case c.Sheet == "":
		return print(app.SheetToFillIn(keys))
	}
	text, err := app.CheckSheet(c.Sheet, c.Units)
	if perr := print(text); perr != nil {
		return perr
	}
	if err != nil && looksLikeNotes.MatchString(err.Error()) {
		return fmt.Errorf("%w\nit looks like notes of passes: `traplight car --check-notes %s` checks those", err, c.Sheet)
	}
	return err
}

var looksLikeNotes = regexp.MustCompile(`: (pass|planned|strip|event): not a known key`)
