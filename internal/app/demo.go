package app

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"traplight/internal/car"
	"traplight/internal/demo"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
	"traplight/internal/report"
)

// DemoRequest asks for the invented shop's day.
type DemoRequest struct {
	Seed uint64
	Save string // folder to write the shop's files to; "" none
	Pass int    // which log of the day is reported, from 1; 0 the last
}

// DemoShop is an invented day at the strip: files as a shop would hold them.
type DemoShop struct {
	Sheet string   // name of the car sheet
	Notes string   // name of the notes
	Logs  []string // names, in the order of the day

	Sources []report.Source // what the report was assembled from
}

// Demo invents a shop's day and reports one of its logs, by the same way as any
// other log goes.
func Demo(ctx context.Context, q DemoRequest) (*report.Report, *DemoShop, error) {
	if q.Save != "" {
		if _, err := os.Stat(filepath.Join(q.Save, "passes.toml")); err == nil {
			return nil, nil, fmt.Errorf("%s holds a passes.toml already; the demo overwrites nothing", q.Save)
		}
	}
	event := demo.Season(q.Seed)
	shop := &DemoShop{Sheet: "car_" + event.Car.ID + ".toml", Notes: "passes.toml"}
	for _, rec := range event.Recordings {
		shop.Logs = append(shop.Logs, rec.Name+".csv")
	}
	if q.Save != "" {
		if err := saveDemo(q.Save, shop, event); err != nil {
			return nil, nil, err
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, nil, err
	}
	n := q.Pass
	if n == 0 {
		n = len(event.Recordings)
	}
	if n < 1 || n > len(event.Recordings) {
		return nil, nil, fmt.Errorf("the day has logs 1 to %d, not %d", len(event.Recordings), n)
	}
	sheet, err := car.ParseSheet(shop.Sheet, event.Sheet)
	if err != nil {
		return nil, nil, err
	}
	notes, err := car.ParseNotes(shop.Notes, event.Notes)
	if err != nil {
		return nil, nil, err
	}
	// the day's earlier passes are the history of the one that is reported
	past, now := new(Analysis), new(Analysis)
	for i := 0; i < n; i++ {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		log, err := logfile.Read(shop.Logs[i], event.Recordings[i].CSV)
		if err != nil {
			return nil, nil, err
		}
		into, known := past, reconstruct.Knowledge{}
		if i == n-1 {
			into, known = now, reconstruct.Learn(past.passes())
		}
		s, err := analyseLog(log, sheet, notes, known)
		if err != nil {
			return nil, nil, err
		}
		into.Sources = append(into.Sources, s)
	}
	if len(past.Sources) == 0 {
		past = nil
	}
	if err := chapters(ctx, nil, notes, past, now, nil); err != nil {
		return nil, nil, err
	}
	first := append([]string{"everything here is invented: the car, the strip, the people and the passes."}, notes.Notes...)
	shop.Sources = now.Sources
	return report.Assemble(shop.Sources, append(first, now.First...), report.Options{}), shop, nil
}

func saveDemo(dir string, shop *DemoShop, event demo.Event) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	write := func(name string, data []byte) error {
		path := filepath.Join(dir, name)
		if _, err := os.Stat(path); err == nil {
			return fmt.Errorf("%s is there already; the demo overwrites nothing", path)
		}
		return os.WriteFile(path, data, 0o644)
	}
	if err := write(shop.Sheet, event.Sheet); err != nil {
		return err
	}
	if err := write(shop.Notes, event.Notes); err != nil {
		return err
	}
	if err := write("parts.toml", []byte(PartsToFillIn)); err != nil {
		return err
	}
	for i, rec := range event.Recordings {
		if err := write(shop.Logs[i], rec.CSV); err != nil {
			return err
		}
	}
	return nil
}
