package app

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"

	"traplight/internal/atomicfile"
	"traplight/internal/demo"
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
	n := q.Pass
	if n == 0 {
		n = len(shop.Logs)
	}
	if n < 1 || n > len(shop.Logs) {
		return nil, nil, fmt.Errorf("the day has logs 1 to %d, not %d", len(shop.Logs), n)
	}
	dir := q.Save
	if dir == "" {
		var err error
		if dir, err = os.MkdirTemp("", "traplight-demo-"); err != nil {
			return nil, nil, err
		}
		defer os.RemoveAll(dir)
	}
	if err := saveDemo(dir, shop, event); err != nil {
		return nil, nil, err
	}
	var logs []string
	for _, l := range shop.Logs[:n] {
		logs = append(logs, filepath.Join(dir, l))
	}
	// the day's earlier passes are the history of the one that is reported
	r, sources, err := ReportAndSources(ctx, ReportRequest{Logs: logs[n-1:], History: logs[:n-1], Cars: []string{filepath.Join(dir, shop.Sheet)}, Notes: filepath.Join(dir, shop.Notes)})
	if err != nil {
		return nil, nil, err
	}
	r.Notes = append([]string{"everything here is invented: the car, the strip, the people and the passes."}, r.Notes...)
	shop.Sources = sources
	return r, shop, nil
}

// saveDemo writes the shop's files, each whole or not at all, and takes all of them back when one
// cannot be written.
func saveDemo(dir string, shop *DemoShop, event demo.Event) (err error) {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	var written []string
	defer func() {
		if err == nil {
			return
		}
		for _, path := range written {
			os.Remove(path)
		}
		os.Remove(dir) // a folder that holds other things stays
	}()
	write := func(name string, data []byte) error {
		path := filepath.Join(dir, name)
		if _, err := os.Stat(path); err == nil {
			return fmt.Errorf("%s is there already; the demo overwrites nothing", path)
		}
		written = append(written, path)
		if _, err := atomicfile.Copy(path, bytes.NewReader(data), 0o644); err != nil {
			return fmt.Errorf("nothing was kept in %s: %w", dir, err)
		}
		return nil
	}
	if err := write(shop.Sheet, event.Sheet); err != nil {
		return err
	}
	for i, rec := range event.Recordings {
		if err := write(shop.Logs[i], rec.CSV); err != nil {
			return err
		}
	}
	if err := write("parts.toml", []byte(PartsToFillIn)); err != nil {
		return err
	}
	return write(shop.Notes, event.Notes)
}
