package app

import (
	"context"
	"maps"
	"math"
	"slices"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/report"
)

// readLog reads a log with the sheet that applies.
func readLog(ctx context.Context, path string, sheets []*car.Sheet, notes *car.Notes) (report.Source, error) {
	if err := notALog(path); err != nil {
		return report.Source{}, err
	}
	log, err := logfile.OpenContext(ctx, path)
	if err != nil {
		return report.Source{}, err
	}
	own, err := notes.SheetsOf(sheets, log.File)
	if err != nil {
		return report.Source{}, err
	}
	sheet := pickSheet(own, log, notes)
	set, err := identify(log, sheet, notes)
	return report.Source{Log: log, Set: set, Sheet: sheet}, err
}

// identify tells what the channels are, with what the sheet and the notes know.
func identify(log *logfile.Log, sheet *car.Sheet, notes *car.Notes) (*dictionary.Set, error) {
	var o dictionary.Options
	if sheet != nil {
		o.Corrections, o.MixtureScale, o.Stoich, o.FuelBase, o.FinalDrive = sheet.Channels, sheet.LambdaScale, sheet.StoichAFR, sheet.FuelPressureBase, sheet.FinalDrive
		if o.Circumference = sheet.LoggerCircum; o.Circumference <= 0 {
			o.Circumference = 2 * math.Pi * sheet.TyreRadius.Value
		}
		for _, g := range sheet.Gears { // all 0, near no reading, without a final drive
			o.Overall = append(o.Overall, g*sheet.FinalDrive)
		}
	}
	if notes != nil {
		if n := notes.For(log.File, 0); n != nil && n.Weather.Pressure > 0 {
			o.Barometer = n.Weather.Pressure
		}
	}
	wrong := unknownMeanings(sheet)
	if len(wrong) > 0 {
		o.Corrections = maps.Clone(o.Corrections)
		for name := range wrong {
			delete(o.Corrections, name)
		}
	}
	set, err := dictionary.Identify(log, o)
	if err != nil {
		return nil, err
	}
	for _, name := range slices.Sorted(maps.Keys(wrong)) {
		set.Notes = append(set.Notes, wrong[name]+"; the channel is guessed instead")
	}
	return set, nil
}
