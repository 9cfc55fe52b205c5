package main

import (
	"context"
	"fmt"

	"traplight/internal/app"
	"traplight/internal/report"
)

type exportCmd struct {
	Logs         []string `arg:"" name:"log" help:"Log files, or passes by name; the whole log is written." type:"path"`
	Car          []string `placeholder:"CAR.toml" help:"Car sheet with corrections in [channels]." type:"path"`
	To           string   `short:"o" placeholder:"PATH" help:"Folder, or file for one log; by default the present folder." type:"path"`
	Format       string   `enum:"parquet,csv" default:"parquet" help:"parquet or csv."`
	SI           bool     `name:"si" help:"Recognised channels only, by quantity, in SI units, fresh samples alone; without it every column as the log has it."`
	DecimalComma bool     `help:"Write CSV with decimal commas and semicolons."`
	Force        bool     `help:"Write over files that are there."`
	JSON         bool     `name:"json" help:"Print what was written as JSON."`
	storeFlags
}

func (*exportCmd) Help() string {
	return `Writes the columns of logs for other programs. Parquet holds decimals exactly, in a third of the space of plain numbers; CSV opens everywhere.

Examples:
  traplight export marl-2033-06-11-3 --format csv --force
  traplight export m03_marl.csv --si -o tables/` + exitCodes
}

func (c *exportCmd) Run(ctx context.Context, w *world) error {
	done, err := app.Export(ctx, app.ExportRequest{
		Data: c.Data, Program: programName(), Args: c.Logs, Cars: c.Car, To: c.To, Format: c.Format, SI: c.SI,
		DecimalComma: c.DecimalComma, Force: c.Force, Progress: w.progress(),
	})
	w.progressDone()
	if c.JSON {
		if perr := report.WriteJSON(w.out, append([]app.Exported{}, done...)); err == nil {
			err = perr
		}
		return err
	}
	for _, e := range done {
		fmt.Fprintf(w.out, "%s: %d rows, %d columns\n", e.File, e.Rows, e.Columns)
		for _, l := range e.Left {
			fmt.Fprintf(w.out, "  left out: %s\n", l)
		}
	}
	return err
}
