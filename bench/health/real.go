package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/health"
	"traplight/internal/logfile"
	"traplight/internal/num/changepoint"
	"traplight/internal/num/stats"
	"traplight/internal/reconstruct"
)

// real screens the open drives of healthy cars and looks for the labelled
// disturbances of a real pump rig. shared is the folder of the open data.
func real(w io.Writer, shared string) error {
	if _, err := os.Stat(filepath.Join(shared, "data")); err != nil {
		return fmt.Errorf("no open data at %s: give -shared", shared)
	}
	drives(w, filepath.Join(shared, "data"))
	return rig(w, filepath.Join(shared, "data", "pump-rig-faults"))
}

// drives counts findings on healthy cars: there must be none of the engine.
func drives(w io.Writer, data string) {
	read, judged, engine, sensor := 0, 0, 0, 0
	for _, dir := range []string{"turbo-diesel-obd", "petrol-obd-1hz", "telematics-1hz", "platoon-10hz", "ev-can-vs-gps", "obd-spreadsheet-export", "highway-wheel-speeds"} {
		files, _ := filepath.Glob(filepath.Join(data, dir, "*.csv"))
		for _, f := range files {
			log, err := logfile.Open(f)
			if err != nil {
				fmt.Fprintf(w, "  %s: %v\n", filepath.Base(f), err)
				continue
			}
			set, err := dictionary.Identify(log, dictionary.Options{})
			if err != nil {
				fmt.Fprintf(w, "  %s: %v\n", filepath.Base(f), err)
				continue
			}
			read++
			sheet := &car.Sheet{}
			res, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{File: filepath.Base(f)})
			if err != nil {
				continue
			}
			for i, p := range res.Passes {
				judged++
				r := health.Screen(health.Record{Name: filepath.Base(f), Set: set, Pass: p, Clear: true}, nil, sheet)
				for _, x := range r.Findings {
					if x.Kind == health.Sensor {
						sensor++
					} else {
						engine++
					}
					fmt.Fprintf(w, "  %s movement %d: %s: %s\n", filepath.Base(f), i+1, x.Kind, x.Evidence)
				}
			}
		}
	}
	fmt.Fprintf(w, "open drives of healthy cars: %d files read, %d movements judged, %d findings of the engine, %d of sensors\n", read, judged, engine, sensor)
}

// rig scans each file channel by channel; the model of a channel is a level and
// a slope, its noise and correlation those of the first 300 quiet rows.
func rig(w io.Writer, dir string) error {
	const strong = 8.0 // |Z| that counts, about 1e-15 by chance for one look
	fmt.Fprintln(w, "pump rig: strongest disturbance of each file, |Z| over its channel's own on normal running")
	normal, err := columns(filepath.Join(dir, "anomaly-free.csv"))
	if err != nil {
		return err
	}
	// What Z reaches on normal running, in windows of a thousand rows.
	usual := map[string]float64{}
	for name, x := range normal {
		var peaks []float64
		for from := 0; from+1000 <= len(x); from += 1000 {
			if h, ok := scan(x[from : from+1000]); ok {
				peaks = append(peaks, math.Abs(h.Z))
			}
		}
		usual[name] = stats.Quantile(peaks, 1)
	}
	for name, u := range usual {
		if u > strong*4 {
			fmt.Fprintf(w, "  normal running: %s wanders by itself (|Z| up to %.0f)\n", name, u)
		}
	}
	for _, f := range []string{"other-14.csv", "other-11.csv", "valve1-6.csv"} {
		cols, err := columns(filepath.Join(dir, f))
		if err != nil {
			return err
		}
		label := 0
		for label < len(cols["anomaly"]) && cols["anomaly"][label] == 0 {
			label++
		}
		best, at, size := 0.0, 0, 0.0
		which := "none"
		for name, x := range cols {
			if name == "anomaly" || name == "changepoint" {
				continue
			}
			h, ok := scan(x)
			if !ok || math.Abs(h.Z) < strong {
				continue
			}
			if r := math.Abs(h.Z) / max(usual[name], strong); r > best || r == best && name < which {
				best, at, size, which = r, h.At, h.Size, name
			}
		}
		fmt.Fprintf(w, "  %s: labelled from row %d; %s from row %d, size %.3g, %.1f times normal\n", f, label, which, at, size, best)
	}
	return nil
}

func scan(x []float64) (h changepoint.Hit, ok bool) {
	quiet := x[:min(300, len(x)/3)]
	m, sd := stats.MeanSD(quiet)
	rho := stats.Lag1(quiet)
	if !(sd > 0) || math.IsNaN(rho) {
		return h, false
	}
	s := changepoint.Series{P: 2, PriorMean: []float64{m, 0}, PriorCov: []float64{100 * sd * sd, 0, 0, 100 * sd * sd}, Noise: sd, Corr: -1 / math.Log(max(0.02, min(0.98, rho)))}
	for i, v := range x {
		s.T, s.X, s.Y = append(s.T, float64(i)), append(s.X, 1, float64(i)/1000), append(s.Y, v)
	}
	k, err := s.Ready()
	if err != nil {
		return h, false
	}
	h, _, ok = k.Scan([]changepoint.Shape{{}, {Rise: 60}, {Last: 300}})
	return h, ok
}

// columns reads the numbers of a semicolon table by column.
func columns(path string) (map[string][]float64, error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.FieldsPerRecord = ';', -1
	rows, err := r.ReadAll()
	if err != nil {
		return nil, err
	}
	out := map[string][]float64{}
	for _, row := range rows[1:] {
		for j, name := range rows[0] {
			if j == 0 || j >= len(row) {
				continue
			}
			if v, err := strconv.ParseFloat(row[j], 64); err == nil {
				out[name] = append(out[name], v)
			}
		}
	}
	return out, nil
}
