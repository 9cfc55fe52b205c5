package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"traplight/internal/app"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/report"
)

// baseline is a log with its report, as the file is.
type baseline struct {
	c       *logCase
	dir     string
	columns []writtenColumn
	report  map[string]any
}

type writtenColumn struct {
	logfiletest.Column
	quantity, unit string // the truth's
}

func (b *baseline) reportOf(path string) (map[string]any, error) {
	r, err := app.Report(context.Background(), app.ReportRequest{Logs: []string{path}, Cars: []string{filepath.Join(b.dir, "car_"+b.c.truth.Car+".toml")},
		Notes: filepath.Join(b.dir, "passes.toml"), Without: []string{"ledger"}})
	if err != nil {
		return nil, err
	}
	var text bytes.Buffer
	if err := report.WriteJSON(&text, r); err != nil {
		return nil, err
	}
	var out map[string]any
	return out, json.Unmarshal(text.Bytes(), &out)
}

// newBaseline names a log's columns by the truth and makes its report.
func newBaseline(c *logCase, dir string) (*baseline, error) {
	b := &baseline{c: c, dir: dir}
	v := newVariantLog(c.log, c.truth, "")
	for i := range v.Columns {
		q := v.quantityOf(i)
		unit := v.unitOf(q)
		if q == "gps_lat" || q == "gps_lon" {
			unit = "deg"
		}
		b.columns = append(b.columns, writtenColumn{logfiletest.Column{Name: v.Columns[i].Name, Unit: v.Columns[i].Unit, Values: v.Columns[i].Values}, q, unit})
	}
	path := filepath.Join(dir, c.truth.File)
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) {
		path += ".gz"
	}
	var err error
	b.report, err = b.reportOf(path)
	return b, err
}
