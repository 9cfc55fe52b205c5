package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"

	"traplight/internal/app"
	"traplight/internal/store/inbox"
)

// storeFlags are the options of every command that uses the store.
type storeFlags struct {
	Data string `placeholder:"FOLDER" env:"TRAPLIGHT_DATA" help:"Data folder of the store (${env}); by default where the system keeps a user's data." type:"path"`
}

// open opens the store; with create it makes it when there is none.
func (f storeFlags) open(ctx context.Context, create bool) (*app.Shop, error) {
	return app.OpenShop(ctx, f.Data, programName(), create)
}

type addCmd struct {
	Files    []string `arg:"" optional:"" name:"file" help:"Logs, car sheets, notes, parts files, or folders of them." type:"path"`
	Car      string   `placeholder:"CAR" help:"Whose logs these are: the name of a car in the store, or its sheet. Without it the notes say, or the one sheet among the files, or the only car is meant."`
	From     string   `placeholder:"DATE" help:"From when a sheet holds that does not say so itself; 'always' for a correction."`
	Watch    bool     `help:"Go on, and add what appears in the folders, until Ctrl-C. A folder may be on a drive that is pulled and put in again."`
	Again    bool     `help:"Make every report anew that another version of the program has made."`
	Together bool     `help:"The logs are several recorders' of the same passes, as of engine and satellite: they are brought onto one clock and have one report."`
	JSON     bool     `name:"json" help:"Print a JSON object for each thing done, a line each."`
	storeFlags
}

func (*addCmd) Help() string {
	return `Keeps logs byte for byte, with the report made of each, and car sheets and notes with all their revisions. A parts file is kept for its car. Sheets and notes given together with logs are added first. A sheet that has changed becomes the car's next revision; reports that it or changed notes concern are made anew. Adding a file again changes nothing.

A change of a sheet without valid_from holds from now on; --from names another day, and --from always corrects the past.

Examples:
  traplight add car_marl.toml passes.toml m0*.csv
  traplight add m03_marl.csv --car marl
  traplight add engine.csv satellite.csv --car car_marl.toml --together
  traplight add card --watch` + exitCodes
}

func (c *addCmd) Run(ctx context.Context, w *world) error {
	if len(c.Files) == 0 && !c.Again {
		return usageError{errors.New("nothing to add: name files or folders")}
	}
	if c.Together && c.Watch {
		return usageError{errors.New("--together and --watch exclude each other")}
	}
	s, err := c.open(ctx, true)
	if err != nil {
		return err
	}
	defer s.Close()
	// A sheet may be named as a file; anything else is a car's name.
	if _, err := os.Stat(c.Car); inbox.IsSheetOrNotes(c.Car) && err != nil {
		return fmt.Errorf("%s: %w", c.Car, fs.ErrNotExist)
	}
	q := app.AddRequest{Paths: c.Files, Car: c.Car, From: c.From, Again: c.Again, Together: c.Together}
	tell := func(a app.Added) { c.tell(w, a) }
	if c.Watch {
		watcher := inbox.Watcher{Folders: c.Files,
			Lost: func(f string) { fmt.Fprintf(w.err, "traplight: %s cannot be seen any more; waiting for it\n", f) },
			Back: func(f string) { fmt.Fprintf(w.err, "traplight: %s is back\n", f) },
		}
		fmt.Fprintf(w.err, "traplight: watching %s; Ctrl-C ends it\n", strings.Join(c.Files, ", "))
		return s.Watch(ctx, q, watcher, tell)
	}
	failed, err := s.Add(ctx, q, tell)
	w.progressDone()
	if err != nil {
		return err
	}
	if failed > 0 {
		return fmt.Errorf("%d of the files could not be added", failed)
	}
	return nil
}

// tell prints one thing done.
func (c *addCmd) tell(w *world, a app.Added) {
	w.progressDone()
	if c.JSON {
		json.NewEncoder(w.out).Encode(a)
		return
	}
	switch {
	case a.Err != nil:
		w.complain(a.Err)
	case a.Kind == "other":
		fmt.Fprintln(w.err, "traplight: "+a.Outcome)
	case a.File != "":
		line := a.File + ": " + a.Outcome
		switch {
		case len(a.Passes) > 0:
			line += ", " + strings.Join(a.Passes, ", ")
		case a.Kind == "log" && a.Outcome == "added":
			line += ", no pass in it"
		}
		fmt.Fprintln(w.out, line)
		for _, m := range a.Mind {
			fmt.Fprintln(w.out, "  mind: "+m)
		}
	}
	if p := w.progress(); p != nil && a.Done < a.Total {
		p("adding", a.Done, a.Total)
	}
}
