package main

import (
	"context"
	"errors"
	"fmt"

	"traplight/internal/app"
)

type removeCmd struct {
	Names   []string `arg:"" name:"pass" help:"Passes by name, or logs by file name for all passes in them."`
	Undo    bool     `help:"Take them out of the trash again."`
	ForGood bool     `help:"Throw logs that are in the trash away for good: their bytes and reports."`
	storeFlags
}

func (*removeCmd) Help() string {
	return `Puts passes into the trash: they are left out of every list and every calculation, and nothing is deleted. --undo takes them out again; ` + "`traplight passes --removed`" + ` lists what is there.

Examples:
  traplight remove marl-2033-06-11-3
  traplight remove m01_marl.csv
  traplight remove m01_marl.csv --undo` + exitCodes
}

func (c *removeCmd) Run(ctx context.Context, w *world) error {
	if c.Undo && c.ForGood {
		return usageError{errors.New("--undo and --for-good exclude each other")}
	}
	s, err := c.open(ctx, false)
	if err != nil {
		return err
	}
	defer s.Close()
	what := app.ToTrash
	switch {
	case c.Undo:
		what = app.FromTrash
	case c.ForGood:
		what = app.ForGood
	}
	done, err := s.Trash(ctx, c.Names, what)
	for _, line := range done {
		fmt.Fprintln(w.out, line)
	}
	return err
}
