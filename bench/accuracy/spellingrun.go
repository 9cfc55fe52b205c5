package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strconv"
	"strings"

	"traplight/internal/app"
	"traplight/internal/logfile/logfiletest"
)

// spellings are all odd ways, by kind.
func spellings() []spelling {
	return slices.Concat(spelledText, spelledCells, spelledClocks, spelledNames, spelledUnits, spelledSignals, spelledParts)
}

// runSpellings writes each log in odd ways and holds the reports against that of the
// log as it is.
func runSpellings(ctx context.Context, o options, w io.Writer) error {
	dir := o.dir
	if dir == "" {
		return fmt.Errorf("-spellings needs -dir")
	}
	cases, err := loadCases(o)
	if err != nil {
		return err
	}
	tmp, err := os.MkdirTemp("", "spellings")
	if err != nil {
		return err
	}
	defer os.RemoveAll(tmp)
	wrong := 0
	for _, c := range cases {
		b, err := newBaseline(c, dir)
		if err != nil {
			return err
		}
		source, err := app.AnalyseLog(c.log, c.sheet, c.notes)
		if err != nil {
			return err
		}
		count := map[string]int{}
		for _, s := range spellings() {
			if err := ctx.Err(); err != nil {
				return err
			}
			if o.spellings != "all" && !slices.ContainsFunc(splitList(o.spellings), func(p string) bool { return strings.Contains(s.name, p) }) {
				continue
			}
			got := s.try(b, source.Set.Barometer, tmp)
			count[got.kind]++
			bad := !got.granted(s.wish)
			if bad {
				wrong++
			}
			if bad || o.verbose || got.kind == "refused" {
				mark := " "
				if bad {
					mark = "!"
				}
				fmt.Fprintf(w, "%s %-4s %-8s %s: %s\n", mark, c.truth.ID, got.kind, s.name, got.text)
			}
		}
		var kinds []string
		for k, n := range count {
			kinds = append(kinds, fmt.Sprintf("%s %d", k, n))
		}
		sort.Strings(kinds)
		fmt.Fprintf(w, "%s: %s\n", c.truth.ID, strings.Join(kinds, ", "))
	}
	if wrong > 0 {
		return fmt.Errorf("%d spellings are %w", wrong, errBeyond)
	}
	return nil
}

// outcome is how a spelling was read.
type outcome struct {
	kind string // "same", "within" the intervals, "less" figures, "refused", "differs"
	text string
}

func (o outcome) granted(wish string) bool {
	switch o.kind {
	case "same":
		return true
	case "within":
		return wish != ""
	case "less", "refused":
		return wish == "less"
	}
	return false
}

// try writes, reads and compares.
func (s *spelling) try(b *baseline, barometer float64, tmp string) outcome {
	d := newDraft(b, barometer)
	s.change(d)
	name := b.c.truth.File + d.ending
	if d.ending == ".zip" || d.ending == ".xlsx" {
		name = strings.TrimSuffix(b.c.truth.File, ".csv") + d.ending
	}
	path := filepath.Join(tmp, name)
	if err := os.WriteFile(path, d.bytes(), 0o644); err != nil {
		return outcome{"refused", err.Error()}
	}
	defer os.Remove(path)
	got, err := b.reportOf(path)
	if err != nil {
		return outcome{"refused", strings.ReplaceAll(err.Error(), tmp+string(filepath.Separator), "")}
	}
	if d.moved {
		d.shift = launchOf(got) - launchOf(b.report)
		if slices.ContainsFunc(b.c.truth.Quirks, func(q Quirk) bool { return q.Kind == "clock_step" }) {
			d.counts = func(k string) bool { return !onLogClock[k[strings.LastIndexByte(k, '.')+1:]] }
		}
	}
	same := &difference{shift: d.shift, said: map[string]bool{}}
	same.walk("passes", b.report["passes"], got["passes"], nil, nil)
	if len(same.lines) == 0 && same.compared > 100 {
		return outcome{"same", ""}
	}
	far, missing, compared := beyondIntervals(figures(b.report, 0), figures(got, d.shift), d.counts)
	switch {
	case len(far) > 0:
		return outcome{"differs", fmt.Sprintf("%d of %d figures beyond their intervals, %d missing: %s", len(far), compared, len(missing), strings.Join(far[:min(4, len(far))], "; "))}
	case len(missing) > 0:
		return outcome{"less", fmt.Sprintf("%d figures inside, %d missing: %s", compared, len(missing), strings.Join(missing[:min(4, len(missing))], ", "))}
	}
	return outcome{"within", fmt.Sprintf("%d figures moved, all inside: %s", len(same.lines), strings.Join(same.lines[:min(3, len(same.lines))], "; "))}
}

// newDraft copies a log for a spelling to change.
func newDraft(b *baseline, barometer float64) *draft {
	d := &draft{barometer: barometer, known: slices.Clone(b.columns)}
	d.Name = b.c.truth.ID
	if d.density = b.c.sheet.FuelDensity; d.density <= 0 {
		d.density = 745 // gasoline, common practice
	}
	if d.circumference = b.c.sheet.LoggerCircum; d.circumference <= 0 {
		d.circumference = 2 * math.Pi * b.c.sheet.TyreRadius.Value
	}
	d.launch = launchOf(b.report)
	if p, ok := b.report["passes"].([]any); ok && len(p) > 0 {
		d.finish, _ = p[0].(map[string]any)["finish_s"].(float64)
	}
	f := figures(b.report, 0)
	d.gears = map[string][2]float64{}
	d.moments = map[string]float64{}
	for k := range f {
		if _, rest, ok := strings.Cut(k, ".shifts."); ok {
			from, _, _ := strings.Cut(rest, ".")
			d.moments[k] = f["0.shifts."+from+".start_s"].value
		}
	}
	for g := 1; g < 10; g++ {
		if from, ok := f[fmt.Sprintf("0.gears.%d.start_s", g)]; ok {
			d.gears[strconv.Itoa(g)] = [2]float64{from.value, f[fmt.Sprintf("0.gears.%d.end_s", g)].value}
		}
	}
	for _, x := range b.c.log.RowTime {
		d.Time = append(d.Time, math.Round(1e6*b.c.log.Clock.Log(x))/1e6)
	}
	for _, w := range b.columns {
		c := w.Column
		c.Values = slices.Clone(c.Values)
		if w.unit != "" {
			c.Unit = truthUnitText(w.unit)
		}
		d.Columns = append(d.Columns, logfiletest.Column{Name: c.Name, Unit: c.Unit, Values: c.Values})
	}
	return d
}

// roundTo brings x to the next multiple of step, a power of ten or five of them.
func roundTo(x, step float64) float64 {
	if step >= 1 {
		return math.Round(x/step) * step
	}
	return math.Round(x/step) / math.Round(1/step)
}

// launchOf is when the first pass begins, s on the log's own clock; 0 without.
func launchOf(rep map[string]any) float64 {
	if passes, _ := rep["passes"].([]any); len(passes) > 0 {
		t, _ := passes[0].(map[string]any)["launch_s"].(float64)
		return t
	}
	return 0
}
