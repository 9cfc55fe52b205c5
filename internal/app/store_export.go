package app

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"traplight/internal/atomicfile"
	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/store"
	"traplight/internal/store/columns"
)

// ExportRequest asks for the columns of logs in a form that other programs read.
type ExportRequest struct {
	Data, Program string   // as Resolve takes them
	Args          []string // paths of logs or names of passes; the whole log is written
	Cars          []string // paths of car sheets, for corrections of channels
	// To is a folder, or for one log the file to write; "" means the present folder.
	To string
	// Format is "parquet" or "csv".
	Format string
	// SI writes recognised channels only, under the quantity's name and in its SI unit,
	// fresh samples alone; else every column as the log has it.
	SI           bool
	DecimalComma bool // of CSV
	Force        bool // write over files that are there
	Progress     func(what string, done, of int)
}

// Exported is one file written.
type Exported struct {
	File    string   `json:"file"`
	From    string   `json:"from"`
	SHA256  string   `json:"sha256"` // of the log
	Rows    int      `json:"rows"`
	Columns int      `json:"columns"`
	Left    []string `json:"left_out"` // columns that could not be written, and why
}

// Export writes logs as tables.
func Export(ctx context.Context, q ExportRequest) (out []Exported, err error) {
	n, err := Resolve(ctx, q.Data, q.Program, q.Args, q.Cars, "")
	if errors.Is(err, store.ErrNoStore) && allFiles(q.Args) {
		// No sheet is needed to write columns as they are.
		n, err = &Named{Logs: q.Args}, nil
	}
	if err != nil {
		return nil, err
	}
	defer n.Close()
	var sheets []*car.Sheet
	if len(n.Cars) > 0 {
		if sheets, err = loadSheets(n.Cars); err != nil {
			return nil, err
		}
	}
	var notes *car.Notes
	if n.Notes != "" {
		if notes, err = car.LoadNotes(n.Notes); err != nil {
			return nil, err
		}
	}
	for i, path := range n.Logs {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if q.Progress != nil {
			q.Progress(filepath.Base(path), i, len(n.Logs))
		}
		log, err := logfile.OpenContext(ctx, path)
		if err != nil {
			return out, err
		}
		own, err := notes.SheetsOf(sheets, log.File)
		if err != nil {
			return out, err
		}
		set, err := identify(log, pickSheet(own, log, notes), notes)
		if err != nil {
			return out, err
		}
		e, err := q.write(ctx, log, set, len(n.Logs) > 1)
		if err != nil {
			return out, err
		}
		out = append(out, e)
	}
	return out, nil
}

func allFiles(paths []string) bool {
	for _, p := range paths {
		if _, err := os.Stat(p); err != nil {
			return false
		}
	}
	return true
}

func (q ExportRequest) write(ctx context.Context, log *logfile.Log, set *dictionary.Set, several bool) (Exported, error) {
	name, err := q.target(log.File, several)
	if err != nil {
		return Exported{}, err
	}
	e := Exported{File: name, From: log.File, SHA256: log.SHA256, Left: []string{}}
	var t columns.Table
	if q.SI {
		t = siTable(set)
	} else {
		t, e.Left = loggedTable(log, set)
	}
	t.Meta = map[string]string{"traplight.log": log.File, "traplight.sha256": log.SHA256, "traplight.start": log.Start}
	t = t.OneClock()
	e.Rows, e.Columns = len(t.Time), len(t.Columns)
	w, err := atomicfile.Create(name)
	if err != nil {
		return e, err
	}
	defer w.Abort()
	if err := q.encode(stoppable{w, ctx}, t); err != nil {
		return e, fmt.Errorf("export %s: %w", log.File, err)
	}
	_, err = w.Commit(0o644)
	return e, err
}

// stoppable is a writer that writes until ctx is done.
type stoppable struct {
	io.Writer
	ctx context.Context
}

func (s stoppable) Write(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.Writer.Write(p)
}

func (q ExportRequest) encode(w io.Writer, t columns.Table) error {
	if q.Format == "csv" {
		return columns.CSV{DecimalComma: q.DecimalComma}.Write(w, t)
	}
	return columns.WriteParquet(w, t)
}

// target is the file to write for a log.
func (q ExportRequest) target(log string, several bool) (string, error) {
	name := q.To
	info, err := os.Stat(q.To)
	switch isDir := err == nil && info.IsDir(); {
	case q.To == "" || isDir:
		stem := log
		for _, ext := range []string{".gz", ".zip", filepath.Ext(strings.TrimSuffix(strings.TrimSuffix(log, ".gz"), ".zip"))} {
			stem = strings.TrimSuffix(stem, ext)
		}
		if q.SI {
			stem += "-si"
		}
		name = filepath.Join(q.To, stem+"."+q.Format)
	case several:
		return "", fmt.Errorf("%s is no folder: several logs need one to be written to", q.To)
	}
	if _, err := os.Lstat(name); err == nil && !q.Force {
		return "", &store.Hinted{Err: fmt.Errorf("%s: %w", name, fs.ErrExist), Hint: "--force writes over it"}
	}
	return name, nil
}

// loggedTable is every column of numbers as the log has it, on the log's own clock; or
// on the run clock, which never steps back, when columns have clocks of their own.
func loggedTable(log *logfile.Log, set *dictionary.Set) (t columns.Table, left []string) {
	meaning := map[string]*dictionary.Channel{}
	for i := range set.Channels {
		meaning[set.Channels[i].Name] = &set.Channels[i]
	}
	left = []string{}
	t.Time = log.RowTime
	if !slices.ContainsFunc(log.Columns, func(c logfile.Column) bool { return c.Times != nil }) {
		t.Time = make([]float64, len(log.RowTime))
		for i, x := range log.RowTime {
			t.Time[i] = log.Clock.Log(x)
		}
	}
	for _, c := range log.Columns {
		if c.Text != nil {
			left = append(left, c.Name+": it holds words")
			continue
		}
		col := columns.Column{Name: c.Name, Unit: c.Unit, Values: c.Values, Times: c.Times}
		if m := meaning[c.Name]; m != nil {
			col.Quantity = string(m.Quantity)
		}
		t.Columns = append(t.Columns, col)
	}
	return t, left
}

// siTable is the recognised channels in SI, each with its fresh samples only, on the run
// clock, which never steps.
func siTable(set *dictionary.Set) (t columns.Table) {
	for i := range set.Channels {
		c := &set.Channels[i]
		if c.Quantity == quantity.Unknown || c.Trace.Len() == 0 {
			continue
		}
		name := string(c.Quantity)
		if c.Index > 0 {
			name += " " + strconv.Itoa(c.Index)
		}
		t.Columns = append(t.Columns, columns.Column{
			Name: name, Unit: quantity.SISymbol(quantity.DimensionOf(c.Quantity)), Quantity: string(c.Quantity),
			Times: c.Trace.T, Values: c.Trace.V,
		})
	}
	return t
}
