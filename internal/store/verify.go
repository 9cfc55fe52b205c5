package store

import (
	"context"
	"fmt"
	"os"
	"slices"
	"strings"

	"traplight/internal/atomicfile"
)

// Fault is one thing that is not as it should be.
type Fault struct {
	What string `json:"what"` // a sentence, lower case, without full stop
	Hint string `json:"hint"` // what would help
	// Repairable faults are put right by Repair.
	Repairable bool `json:"repairable"`
}

// Check is the outcome of Verify.
type Check struct {
	Logs      int     `json:"logs"` // looked at, as are the next four
	Passes    int     `json:"passes"`
	Reports   int     `json:"reports"`
	Forecasts int     `json:"forecasts"`
	Lines     int     `json:"journal_lines"`
	Bytes     int64   `json:"bytes"`  // of originals read
	Faults    []Fault `json:"faults"` // nil when all is well
}

// maxSameFaults is how many lines of the database's own check are told.
const maxSameFaults = 10

// Verify reads everything and holds it against its sums: each original, report,
// sheet, notes file and record; the chains of forecasts and of the journal; the
// database's own structure. tell, which may be nil, hears of each log read.
func (s *Store) Verify(ctx context.Context, tell func(done, total int)) (*Check, error) {
	c := &Check{}
	for _, look := range []func(context.Context, *Check) error{s.checkDatabase, s.checkBodies, s.checkChains} {
		if err := look(ctx, c); err != nil {
			if code := sqliteCode(err); code == 0 || ctx.Err() != nil {
				return nil, wrap("verify", err)
			}
			c.Faults = append(c.Faults, Fault{What: "the database cannot be read: " + err.Error(), Hint: restoreHint})
		}
	}
	if err := s.checkOriginals(ctx, c, tell); err != nil {
		if ctx.Err() != nil || sqliteCode(err) == 0 {
			return nil, wrap("verify", err)
		}
	}
	return c, nil
}

func (c *Check) fault(repairable bool, hint, format string, args ...any) {
	c.Faults = append(c.Faults, Fault{What: fmt.Sprintf(format, args...), Hint: hint, Repairable: repairable})
}

func (s *Store) checkDatabase(ctx context.Context, c *Check) error {
	lines, err := column[string](ctx, s.read, fmt.Sprintf("PRAGMA integrity_check(%d)", maxSameFaults))
	if err != nil {
		return err
	}
	for _, l := range lines {
		if l != "ok" {
			// Only the indexes can be made anew from what is there.
			c.fault(strings.Contains(l, "index"), restoreHint, "the database is damaged: %s", l)
		}
	}
	type loose struct{ table, parent string }
	refs, err := rows(ctx, s.read, func(scan func(...any) error) (l loose, err error) { return l, scan(&l.table, &l.parent) },
		`SELECT DISTINCT "table", "parent" FROM pragma_foreign_key_check`)
	if err != nil {
		return err
	}
	for _, l := range refs {
		c.fault(false, restoreHint, "the database is damaged: a row of %s speaks of a missing row of %s", l.table, l.parent)
	}
	var pending int
	if err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM pending").Scan(&pending); err != nil {
		return err
	}
	if pending > 0 {
		c.fault(true, "`traplight verify --repair` takes it back, and so does the next change", "a program was stopped while it added or dropped %d logs", pending)
	}
	return s.read.QueryRowContext(ctx, "SELECT count(*) FROM pass").Scan(&c.Passes)
}

// checkBodies holds every text in the database against its sum.
func (s *Store) checkBodies(ctx context.Context, c *Check) error {
	for _, t := range []struct {
		table, name string
		packed      bool
		count       *int
	}{
		{"result", "made_at", true, &c.Reports},
		{"forecast", "planned", true, &c.Forecasts},
		{"score", "pass", true, nil},
		{"knowledge", "subject", true, nil},
		{"sheet", "file", false, nil},
		{"document", "file", false, nil},
		{"entry", "key", false, nil},
	} {
		_, err := rows(ctx, s.read, func(scan func(...any) error) (_ struct{}, err error) {
			var name, want string
			var body []byte
			if err := scan(&name, &body, &want); err != nil {
				return struct{}{}, err
			}
			if t.count != nil {
				*t.count++
			}
			if t.packed {
				body, err = unpack(body)
			}
			if err != nil || sumOf(body) != want {
				c.fault(false, bodyHint(t.table), "the %s %q is not what was written: its SHA-256 differs", t.table, name)
			}
			return struct{}{}, nil
		}, "SELECT "+t.name+", body, sha256 FROM "+t.table+" ORDER BY id")
		if err != nil {
			return err
		}
	}
	return nil
}

func bodyHint(table string) string {
	switch table {
	case "result", "knowledge":
		return "it is computed again from the log by `traplight report`"
	case "sheet", "document", "entry":
		return "add the file again, or restore a backup"
	}
	return "restore a backup made before"
}

// checkChains follows the chains of the journal and the forecasts.
func (s *Store) checkChains(ctx context.Context, c *Check) error {
	last := ""
	broken := func(what string, id int64, previous, chain, want string) {
		if previous != last || chain != want {
			c.fault(false, "somebody changed, added or deleted records by hand; compare with a backup", "%s %d does not follow from the one before it", what, id)
		}
		last = chain
	}
	_, err := rows(ctx, s.read, func(scan func(...any) error) (_ struct{}, err error) {
		var l Line
		var previous, chain string
		if err := scan(&l.ID, &l.At, &l.Action, &l.Subject, &l.Detail, &previous, &chain); err != nil {
			return struct{}{}, err
		}
		c.Lines++
		broken("journal line", l.ID, previous, chain, link(previous, l.At, l.Action, l.Subject, l.Detail))
		return struct{}{}, nil
	}, "SELECT id, at, action, subject, detail, previous, chain FROM journal ORDER BY id")
	if err != nil {
		return err
	}
	last = ""
	_, err = rows(ctx, s.read, func(scan func(...any) error) (_ struct{}, err error) {
		var f Forecast
		var previous string
		if err := scan(&f.ID, &f.RecordedAt, &f.Car, &f.Planned, &f.Program, &f.Inputs, &f.SHA256, &previous, &f.Chain); err != nil {
			return struct{}{}, err
		}
		broken("forecast", f.ID, previous, f.Chain, forecastLink(previous, f))
		return struct{}{}, nil
	}, "SELECT id, recorded_at, car, planned, program, inputs, sha256, previous, chain FROM forecast ORDER BY id")
	if err != nil {
		return err
	}
	// Each forecast has its line in the journal: one cut off the end shows.
	var lines int
	if err := s.read.QueryRowContext(ctx, "SELECT count(*) FROM journal WHERE action = 'record forecast'").Scan(&lines); err != nil {
		return err
	}
	if lines != c.Forecasts {
		c.fault(false, "compare with a backup", "the journal tells of %d forecasts and %d are there", lines, c.Forecasts)
	}
	return nil
}

func (s *Store) checkOriginals(ctx context.Context, c *Check, tell func(done, total int)) error {
	logs, err := s.Logs(ctx)
	if err != nil {
		return err
	}
	known := map[string]bool{}
	for i, l := range logs {
		if err := ctx.Err(); err != nil {
			return err
		}
		known[l.SHA256] = true
		sum, err := SumFile(s.original(l.SHA256))
		switch {
		case err != nil:
			c.fault(false, "add the file again from where it came, or restore a backup", "the original of %s (%s) is missing", l.File, short(l.SHA256))
		case sum != atomicfile.Sum{Size: l.Size, SHA256: l.SHA256}:
			c.fault(true, "add the file again from where it came, or restore a backup; `traplight verify --repair` puts the damaged one aside", "the original of %s (%s) is damaged", l.File, short(l.SHA256))
		}
		c.Logs++
		c.Bytes += sum.Size
		if tell != nil {
			tell(i+1, len(logs))
		}
	}
	entries, err := os.ReadDir(s.path(originalsDir))
	if err != nil && !os.IsNotExist(err) {
		return plainErr(err)
	}
	busy, err := column[string](ctx, s.read, "SELECT sha256 FROM pending")
	if err != nil {
		return err
	}
	for _, e := range entries {
		switch name := e.Name(); {
		case known[name] || slices.Contains(busy, name):
		case strings.HasPrefix(name, "."):
			c.fault(true, "`traplight verify --repair` removes it", "a half-written file, %s, is left in %s", name, originalsDir)
		default:
			c.fault(false, "if it is a log, add it: `traplight add "+s.original(name)+"`", "the file %s in %s is in no catalogue", name, originalsDir)
		}
	}
	return nil
}
