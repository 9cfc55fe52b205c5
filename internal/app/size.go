package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"traplight/internal/car"
	"traplight/internal/physics/turbomap"
	"traplight/internal/quantity"
	"traplight/internal/sizing"
)

// SizeRequest asks what a car needs for a target speed.
type SizeRequest struct {
	Cars      []string // paths of car sheets; the last one is the car to be built
	Notes     string   // path of a notes file; "" none
	Logs      []string // paths of the car's own logs; nil none
	Target    string   // trap speed with its unit, as typed; "" takes the sheet's
	Strip     string   // id of a strip of the notes; "" takes the only one, or a half mile
	Pass      string   // id of a noted or planned pass whose weather is taken; "" a warm day
	Map       string   // path of a compressor map; "" takes the sheet's compressor_map, if any
	Turbines  []string // paths of swallowing lines
	Turbos    int      // compressors that share the air; 0 as in the sheet
	FreeBoost bool
	SheetOnly bool // no map lies beside the sheet, whatever it names
	Draws     int  // 0 means the usual number
	Seed      uint64
	// Progress is as in ReportRequest.
	Progress func(log string, done, of int)
}

// Sized is the answer with the units of the car's people.
type Sized struct {
	*sizing.Result
	Units string
}

// Size works out what the car needs.
func Size(ctx context.Context, q SizeRequest) (*Sized, error) {
	sheets, err := loadSheets(q.Cars)
	if err != nil {
		return nil, err
	}
	s := sheets[len(sheets)-1]
	r := sizing.Request{Sheet: s, FreeBoost: q.FreeBoost, Turbos: q.Turbos, Draws: q.Draws, Seed: q.Seed, Strip: car.DefaultStrip()}
	if q.Target != "" {
		if r.Target, err = typed("target", q.Target, quantity.DimSpeed, "200mph or 320km/h"); err != nil {
			return nil, err
		}
	}
	var notes *car.Notes
	if q.Notes != "" {
		if notes, err = car.LoadNotes(q.Notes); err != nil {
			return nil, err
		}
		notes.FitAll(sheets)
	}
	if err := strips(&r, notes, q); err != nil {
		return nil, err
	}
	if err := turboFiles(&r, s, q); err != nil {
		return nil, err
	}
	if len(q.Logs) > 0 {
		if r.Measured, err = learn(ctx, q, s); err != nil {
			return nil, err
		}
	}
	out, err := sizing.Size(ctx, r)
	if err != nil {
		return nil, err
	}
	var first []string
	first = append(first, s.Notes...)
	if notes != nil {
		first = append(first, notes.Notes...)
	}
	out.Notes = append(first, out.Notes...)
	return &Sized{out, s.Units}, nil
}

// strips takes strip and weather from the notes.
func strips(r *sizing.Request, notes *car.Notes, q SizeRequest) error {
	if q.Strip != "" || q.Pass != "" {
		if notes == nil {
			return errors.New("--strip and --pass name entries of a notes file: give it with --notes")
		}
	}
	r.Strip = notes.StripFor(nil)
	if q.Strip != "" {
		s, known := notes.FindStrip(&car.PassNote{Strip: q.Strip})
		if !known {
			return fmt.Errorf("%s: no [[strip]] with the id %q", notes.File, q.Strip)
		}
		r.Strip = s
	}
	if q.Pass == "" {
		return nil
	}
	if p := notes.ByID(q.Pass); p != nil {
		r.Weather = &p.Weather
		if q.Strip == "" {
			r.Strip = notes.StripFor(p)
		}
		return nil
	}
	if p := notes.PlannedByID(q.Pass); p != nil {
		w := notes.WeatherFor(p)
		r.Weather = &w
		if q.Strip == "" {
			r.Strip = notes.StripForPlan(p)
		}
		return nil
	}
	return fmt.Errorf("%s: no pass with the id %q", notes.File, q.Pass)
}

// turboFiles reads the compressor's map and the turbines' lines.
func turboFiles(r *sizing.Request, s *car.Sheet, q SizeRequest) (err error) {
	path := q.Map
	if path == "" && s.CompressorMap != "" && !q.SheetOnly {
		// As written in the sheet: beside the sheet.
		path = filepath.Join(filepath.Dir(q.Cars[len(q.Cars)-1]), filepath.FromSlash(s.CompressorMap))
	}
	if path != "" {
		if r.Map, err = readMap(path); err != nil {
			return err
		}
	}
	for _, t := range q.Turbines {
		f, err := os.Open(t)
		if err != nil {
			return named(t, err)
		}
		line, err := turbomap.ReadTurbine(filepath.Base(t), f)
		f.Close()
		if err != nil {
			return err
		}
		r.Housings = append(r.Housings, line)
	}
	return nil
}

func readMap(path string) (*turbomap.Compressor, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, named(path, err)
	}
	defer f.Close()
	return turbomap.ReadCompressor(filepath.Base(path), f)
}

// named says which file could not be read, without the system's call.
func named(path string, err error) error {
	var at *fs.PathError
	if errors.As(err, &at) {
		return fmt.Errorf("%s: %w", path, at.Err)
	}
	return err
}

// learn takes from the car's own logs what sizing can use.
func learn(ctx context.Context, q SizeRequest, s *car.Sheet) (*sizing.Measured, error) {
	a, err := Analyse(ctx, ReportRequest{Logs: q.Logs, Cars: q.Cars, Notes: q.Notes, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	var notes *car.Notes
	if q.Notes != "" {
		if notes, err = car.LoadNotes(q.Notes); err != nil {
			return nil, err
		}
		notes.FitAll([]*car.Sheet{s})
	}
	var own []sizing.OwnPass
	for _, src := range a.Sources {
		for _, p := range src.Passes {
			note := notes.For(src.Log.File, p.Index)
			own = append(own, sizing.OwnPass{Name: strings.TrimSuffix(src.Log.File, filepath.Ext(src.Log.File)), Pass: p, Note: note, Strip: notes.StripFor(note)})
		}
	}
	if len(own) == 0 {
		return nil, fmt.Errorf("%s: %w", strings.Join(a.names(), ", "), ErrNoPass)
	}
	return sizing.Learn(own, s), nil
}
