package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"

	"traplight/internal/app"
	"traplight/internal/report"
	"traplight/internal/store"
)

type passesCmd struct {
	Car     string `placeholder:"CAR" help:"Only passes of this car."`
	Event   string `placeholder:"EVENT" help:"Only passes at this event."`
	Date    string `placeholder:"DATE" help:"Only passes of this day, month or year: 2033-06-11, 2033-06, 2033."`
	Since   string `placeholder:"DATE" help:"Only passes of this day and later."`
	Until   string `placeholder:"DATE" help:"Only passes up to this day."`
	Removed bool   `help:"List what is in the trash instead."`
	Events  bool   `help:"List the events instead."`
	Cars    bool   `help:"List the cars instead."`
	Units   string `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric or si (${env})."`
	JSON    bool   `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*passesCmd) Help() string {
	return `Lists the passes in the store in the order in which they were run. The names in the first column, an id from the notes in brackets, and the names of the logs serve wherever a command takes a pass: report, compare, remove, export. "last" is the pass run last, "last:CAR" that of one car, "LOG:2" the second pass of a log.

Examples:
  traplight passes
  traplight passes --car marl --date 2033-06
  traplight passes --json` + exitCodes
}

var dateForm = regexp.MustCompile(`^\d{4}(-\d{2}(-\d{2})?)?$`)

func (c *passesCmd) Run(ctx context.Context, w *world) error {
	if c.Events && c.Cars {
		return usageError{errors.New("--events and --cars exclude each other")}
	}
	for _, d := range []string{c.Date, c.Since, c.Until} {
		if d != "" && !dateForm.MatchString(d) {
			return usageError{fmt.Errorf("%q is no date: 2033-06-11, 2033-06 and 2033 are", d)}
		}
	}
	s, err := c.open(ctx, false)
	if err != nil {
		return err
	}
	defer s.Close()
	switch {
	case c.Events:
		return show(ctx, w, c.JSON, s.Events, app.WriteEvents)
	case c.Cars:
		return show(ctx, w, c.JSON, s.Cars, app.WriteCars)
	}
	all, err := s.Passes(ctx, store.Filter{})
	if err != nil {
		return err
	}
	list, err := s.Passes(ctx, store.Filter{Car: c.Car, Event: c.Event, Date: c.Date, Since: c.Since, Until: c.Until, Removed: c.Removed})
	alone := ""
	for i, p := range list {
		word, pending := s.Verdict(ctx, all, p)
		if list[i].Verdict = word; pending {
			alone = p.Name
		}
	}
	switch {
	case err != nil:
		return err
	case c.JSON:
		return report.WriteJSON(w.out, append([]store.Pass{}, list...))
	case len(list) == 0:
		fmt.Fprintln(w.err, "traplight: no such passes in the store; `traplight add car.toml LOG...` brings some in")
		return nil
	}
	if err := app.WritePasses(w.out, list, c.Units); err != nil {
		return err
	}
	if i := slices.IndexFunc(list, func(p store.Pass) bool { return p.ByAdding }); i >= 0 {
		fmt.Fprintf(w.err, "traplight: (added) is when the log was added: nothing says when %s was run; when = \"2033-06-11 15:25\" in its notes does\n", list[i].Name)
	}
	if alone != "" {
		fmt.Fprintf(w.err, "traplight: some verdicts are by the car's own passes alone; `traplight health %s` and the page hold a pass against the shop's other cars too, and the graver verdict counts\n", alone)
	}
	return nil
}

// show prints a list as JSON or as text.
func show[T any](ctx context.Context, w *world, asJSON bool, read func(context.Context) ([]T, error), write func(io.Writer, []T) error) error {
	list, err := read(ctx)
	if err != nil {
		return err
	}
	if asJSON {
		return report.WriteJSON(w.out, append([]T{}, list...))
	}
	return write(w.out, list)
}
