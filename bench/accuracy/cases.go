package main

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/logfile"
	"traplight/internal/report"
)

// logCase is a log with its truth and what the crew wrote down.
type logCase struct {
	truth *Truth
	log   *logfile.Log
	sheet *car.Sheet
	notes *car.Notes
	// knowChannels takes the channels' meaning from the truth.
	knowChannels bool
}

// testData is the folder with the project's own copy of the logs.
func testData() string {
	_, file, _, ok := runtime.Caller(0)
	if dir := filepath.Join(filepath.Dir(file), "testdata"); ok {
		if _, err := os.Stat(dir); err == nil {
			return dir
		}
	}
	return filepath.Join("bench", "accuracy", "testdata")
}

func splitList(s string) []string { return strings.Split(s, ",") }

func loadCases(o options) ([]*logCase, error) {
	if o.invented > 0 {
		return inventedCases(o)
	}
	dir := o.dir
	if dir == "" {
		dir = testData()
	}
	truths, err := filepath.Glob(filepath.Join(dir, "*.truth.json"))
	if err != nil {
		return nil, err
	}
	notes, err := app.LoadNotes(filepath.Join(dir, "passes.toml"))
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		return nil, err
	}
	if notes != nil && !o.withSlip {
		notes = withoutSlip(notes)
	}
	var out []*logCase
	for _, path := range truths {
		if o.only != "" && !hasAnyPrefix(filepath.Base(path), splitList(o.only)) {
			continue
		}
		c, err := loadCase(path, notes)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", filepath.Base(path), err)
		}
		c.knowChannels = o.knowChannels
		out = append(out, c)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: no *.truth.json to compare with", dir)
	}
	return out, nil
}

func loadCase(path string, notes *car.Notes) (*logCase, error) {
	t, err := readTruth(path)
	if err != nil {
		return nil, err
	}
	c := &logCase{truth: t, notes: notes}
	dir := filepath.Dir(path)
	if c.sheet, err = app.LoadSheet(filepath.Join(dir, "car_"+t.Car+".toml")); err != nil {
		return nil, err
	}
	plain := filepath.Join(dir, t.File)
	if _, err := os.Stat(plain); err == nil {
		c.log, err = app.OpenLog(plain)
		return c, err
	}
	tmp, err := os.MkdirTemp("", "accuracy")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(tmp)
	unpacked := filepath.Join(tmp, t.File)
	if err := unpack(plain+".gz", unpacked); err != nil {
		return nil, err
	}
	c.log, err = app.OpenLog(unpacked)
	return c, err
}

func unpack(from, to string) error {
	f, err := os.Open(from)
	if err != nil {
		return err
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		return err
	}
	out, err := os.Create(to)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, z)
	return errors.Join(err, out.Close())
}

// run makes the report of a variant and compares it with the truth.
func (c *logCase) run(v Variant, out *Findings) error {
	varied := newVariantLog(c.log, c.truth, v.Name)
	v.Apply(varied)
	var source report.Source
	var err error
	if c.knowChannels {
		source, err = app.AnalyseSet(varied.Log, varied.identify(), c.sheet, c.notes)
	} else {
		source, err = app.AnalyseLog(varied.Log, c.sheet, c.notes)
	}
	if err != nil {
		return err
	}
	compareNames(out, varied, source.Set)
	r := report.Assemble([]report.Source{source}, nil, report.Options{})
	compareLog(out, varied.truth, r)
	return nil
}
