package app

import (
	"context"
	"errors"

	"traplight/internal/car"
)

// SizeLogs is how many logs teach a sizing: those run last, the car being what it is now.
const SizeLogs = 12

// ErrNoSheet says that there is no car to work with.
var ErrNoSheet = errors.New("no car sheet: --car names one, or a car of the store; `traplight car` prints one to fill in")

// Resolve turns what was typed into files, as the function Resolve does: Logs may be passes of
// the store, and Cars, without Logs, the name of one of its cars, which brings the logs run last
// and the strip of the last one. Close the result, which may be nil, after Size.
func (q *SizeRequest) Resolve(ctx context.Context, dir, program string) (*Named, error) {
	var n *Named
	if len(q.Logs) > 0 {
		var err error
		if n, err = Resolve(ctx, dir, program, q.Logs, q.Cars, q.Notes); err != nil {
			return nil, err
		}
		q.Logs = n.Whole()
	} else {
		name, err := lastOf(ctx, dir, program, q.Cars)
		switch {
		case err != nil:
			return nil, err
		case name == "" && len(q.Cars) == 0:
			return nil, ErrNoSheet
		case name == "":
			return nil, nil // the sheet alone
		}
		if n, err = ResolveHistory(ctx, dir, program, nil, q.Cars, q.Notes); err != nil {
			return nil, err
		}
		q.Learn(n, n.History)
	}
	if len(n.Cars) == 0 {
		n.Close()
		return nil, ErrNoSheet
	}
	q.Cars, q.Notes = n.Cars, n.Notes
	q.StripOfLast(n)
	return n, nil
}

// Learn has a car's passes, whose logs are in the order in which they were run, teach the
// sizing: those run last, with their car's sheets and notes, at the strip of the last one.
func (q *SizeRequest) Learn(n *Named, logs []string) {
	q.Logs, q.SheetOnly = logs[max(0, len(logs)-SizeLogs):], true
	q.Cars, q.Notes = n.Cars, n.Notes
	q.StripOfLast(n)
}

// StripOfLast takes the strip of the pass run last of those that came by name, where the
// notes describe it and the request names neither strip nor pass.
func (q *SizeRequest) StripOfLast(n *Named) {
	p, ok := n.Last()
	if !ok || q.Strip != "" || q.Pass != "" || q.Notes == "" {
		return
	}
	notes, err := car.LoadNotes(q.Notes)
	if err != nil {
		return // Size tells it
	}
	if strip, known := notes.FindStrip(notes.For(p.File, p.Number)); known {
		q.Strip = strip.ID
	}
}
