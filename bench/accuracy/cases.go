package main

import (
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
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
	slips *car.Notes // the same with the timing slips, whether they count or not
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
	slips := notes
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
		c.knowChannels, c.slips = o.knowChannels, slips
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

// run makes the report of a variant and compares it with the truth. past are the car's
// other passes; nil does without.
func (c *logCase) run(v Variant, past []report.Source, out *Findings) error {
	varied := newVariantLog(c.log, c.truth, v.Name)
	v.Apply(varied)
	source, err := c.analyse(varied, past)
	if err != nil {
		return err
	}
	compareNames(out, varied, source.Set)
	r := report.Assemble([]report.Source{source}, nil, report.Options{})
	compareLog(out, varied.truth, r)
	for _, n := range slices.Concat(varied.said, r.Notes) {
		out.Notes = append(out.Notes, varied.truth.ID+": "+n)
	}
	for i := range source.Set.Channels {
		for _, what := range source.Set.Channels[i].Problems {
			out.Notes = append(out.Notes, fmt.Sprintf("%s: %s: %s", varied.truth.ID, source.Set.Channels[i].Name, what))
		}
	}
	return nil
}

func (c *logCase) analyse(varied *variantLog, past []report.Source) (report.Source, error) {
	switch {
	case c.knowChannels:
		return app.AnalyseSet(varied.Log, varied.identify(), c.sheet, c.notes)
	case len(past) > 0:
		return app.AnalyseAfter(varied.Log, c.sheet, c.notes, past)
	}
	return app.AnalyseLog(varied.Log, c.sheet, c.notes)
}

// historyOf are the analyses of the other logs of the same car, each made without a history:
// all others; those before alone; or all others with their timing slips ("slips").
func historyOf(cases []*logCase, at int, v Variant, which string) []report.Source {
	var out []report.Source
	for i, o := range cases {
		if i == at || o.truth.Car != cases[at].truth.Car || which == "before" && i > at {
			continue
		}
		if which == "slips" {
			with := *o
			with.notes, o = o.slips, &with
		}
		varied := newVariantLog(o.log, o.truth, v.Name)
		v.Apply(varied)
		if s, err := o.analyse(varied, nil); err == nil {
			out = append(out, s)
		}
	}
	return out
}
