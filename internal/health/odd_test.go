package health

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reconstruct"
	"traplight/internal/reftest"
)

// opened reads a reference log and its car's sheet.
func opened(t testing.TB, file, id string) (*logfile.Log, *car.Sheet) {
	t.Helper()
	log, err := logfile.Open(reftest.Path(t, "logs/"+file+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	sheet, err := car.LoadSheet(reftest.Path(t, "logs/car_"+id+".toml"))
	if err != nil {
		t.Fatal(err)
	}
	return log, sheet
}

// screened judges the first pass of a log as the program does, against the first passes of
// others; ok is false when it holds none.
func screened(t testing.TB, log *logfile.Log, sheet *car.Sheet, past ...*logfile.Log) (res Result, ok bool) {
	t.Helper()
	now, ok := recordOf(t, log, sheet)
	var history []Record
	for _, l := range past {
		r, _ := recordOf(t, l, sheet)
		r.Clear = true
		history = append(history, r)
	}
	if !ok {
		return res, false
	}
	return Screen(now, history, sheet), true
}

func recordOf(t testing.TB, log *logfile.Log, sheet *car.Sheet) (r Record, ok bool) {
	t.Helper()
	set, err := dictionary.Identify(log, dictionary.Options{MixtureScale: sheet.LambdaScale})
	if err != nil {
		t.Fatal(err)
	}
	p, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{File: log.File})
	if err != nil && !errors.Is(err, reconstruct.ErrNoSpeed) {
		t.Fatal(err)
	}
	if p == nil || len(p.Passes) == 0 {
		return r, false
	}
	return Record{Name: log.File, Set: set, Pass: p.Passes[0]}, true
}

// keepRows gives the log with those rows only.
func keepRows(log *logfile.Log, keep func(i int, t float64) bool) {
	var rows []int
	for i, t := range log.RowTime {
		if keep(i, t) {
			rows = append(rows, i)
		}
	}
	pickRows := func(x []float64) (out []float64) {
		for _, i := range rows {
			out = append(out, x[i])
		}
		return out
	}
	log.RowTime, log.RowStep = pickRows(log.RowTime), 0
	log.Breaks, log.Parts = []int{0}, []int{0}
	for i := range log.Columns {
		log.Columns[i].Values, log.Columns[i].Text = pickRows(log.Columns[i].Values), nil
	}
}

// keepColumns gives the log with those columns only whose names hold one of the words.
func keepColumns(log *logfile.Log, words ...string) {
	log.Columns = slices.DeleteFunc(log.Columns, func(c logfile.Column) bool {
		return !slices.ContainsFunc(words, func(w string) bool { return strings.Contains(strings.ToLower(c.Name), w) })
	})
}

func alterColumn(t testing.TB, log *logfile.Log, name string, to func(v, s float64) float64) {
	t.Helper()
	for i := range log.Columns {
		c := &log.Columns[i]
		if c.Name != name {
			continue
		}
		c.Values = slices.Clone(c.Values)
		for k, v := range c.Values {
			if !math.IsNaN(v) {
				c.Values[k] = to(v, log.RowTime[k])
			}
		}
		return
	}
	t.Fatalf("no column %q", name)
}

// Odd logs of healthy passes: no fault of the engine, and where a result is missing for
// it, a sentence that says why.
func TestOddLogs(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 9))
	for _, c := range []struct {
		name, file, car string
		odd             func(log *logfile.Log, sheet *car.Sheet)
		said            string // in not judged; "" nothing asked
	}{
		{"engine and satellite", "a01_marlin", "marlin", func(l *logfile.Log, _ *car.Sheet) { keepColumns(l, "engine speed", "throttle", "gps speed") }, ""},
		{"engine alone", "e01_tern", "tern", func(l *logfile.Log, _ *car.Sheet) { keepColumns(l, "engine_rpm", "throttle", "manifold_press") }, "torque: no speed but the engine's own"},
		{"ends 4 s after the launch", "a01_marlin", "marlin", func(l *logfile.Log, _ *car.Sheet) {
			keepRows(l, func(_ int, s float64) bool { return s < 13.74 })
		}, "the rest of the pass"},
		{"three rows in ten lost", "f01_gannet", "gannet", func(l *logfile.Log, _ *car.Sheet) {
			keepRows(l, func(int, float64) bool { return r.Float64() > 0.3 })
		}, ""},
		{"0.7 s lost again and again", "a01_marlin", "marlin", func(l *logfile.Log, _ *car.Sheet) {
			keepRows(l, func(_ int, s float64) bool { return math.Mod(s, 3.1) > 0.7 })
		}, ""},
		{"five rows a second", "e01_tern", "tern", func(l *logfile.Log, _ *car.Sheet) {
			for i := range l.Columns { // what a slow recorder shows is the last reading
				v := l.Columns[i].Values
				for k := 1; k < len(v); k++ {
					if math.IsNaN(v[k]) {
						v[k] = v[k-1]
					}
				}
			}
			keepRows(l, func(i int, _ float64) bool { return i%100 == 0 })
		}, "torque: readings come only 5 times a second"},
		{"accelerometer upside down", "a01_marlin", "marlin", func(l *logfile.Log, _ *car.Sheet) {
			alterColumn(t, l, "Longitudinal accel", func(v, _ float64) float64 { return -v })
		}, ""},
		{"third gear 3 % off in the sheet", "a01_marlin", "marlin", func(_ *logfile.Log, s *car.Sheet) {
			s.Gears = slices.Clone(s.Gears)
			s.Gears[2] *= 1.03
		}, "third gear by the sheet's ratio of 1.272: engine and driven wheels show 1.235"},
		{"final drive 3 % off in the sheet", "a01_marlin", "marlin", func(_ *logfile.Log, s *car.Sheet) { s.FinalDrive *= 1.03 }, ""},
		{"unit wrong in the header", "a01_marlin", "marlin", func(l *logfile.Log, _ *car.Sheet) {
			for i := range l.Columns {
				if l.Columns[i].Name == "Oil pressure" {
					l.Columns[i].Unit = "psi"
				}
			}
		}, ""},
	} {
		log, sheet := opened(t, c.file, c.car)
		c.odd(log, sheet)
		res, ok := screened(t, log, sheet)
		if !ok {
			t.Errorf("%s: no pass", c.name)
			continue
		}
		for _, f := range res.Findings {
			if f.Kind != Sensor {
				t.Errorf("%s: %s: %s", c.name, f.Kind, f.Evidence)
			}
		}
		if !slices.ContainsFunc(res.NotJudged, func(s string) bool { return strings.HasPrefix(s, c.said) }) {
			t.Errorf("%s: not judged %q, want %q among them", c.name, res.NotJudged, c.said)
		}
	}
}

// A speed made from the engine's own turning judges no clutch; any other does.
func TestNoClutchByTheEnginesOwnSpeed(t *testing.T) {
	for _, c := range []struct {
		name  string
		q     quantity.Name
		judge bool
	}{{"satellite", quantity.GPSSpeed, true}, {"accelerometer", quantity.AccelerationLong, true}, {"wheel", quantity.WheelSpeedRR, true}, {"engine", quantity.EngineSpeed, false}, {"gear", quantity.Gear, false}} {
		set := &dictionary.Set{Channels: []dictionary.Channel{{Name: c.name, Quantity: c.q}}}
		set.Channels[0].Trace.T, set.Channels[0].Trace.V = []float64{0, 1}, []float64{1, 2}
		if got := (&frame{set: &source{Set: set}}).roadSpeed(); got != c.judge {
			t.Errorf("%s: road speed %v", c.name, got)
		}
	}
	log, sheet := opened(t, "a01_marlin", "marlin")
	keepColumns(log, "engine speed", "throttle", "manifold pressure")
	for i := range log.Columns { // 12 % more revolutions from mid-pass on, as a slipping clutch makes
		if log.Columns[i].Name == "Engine speed" {
			alterColumn(t, log, "Engine speed", func(v, s float64) float64 { return v * (1 + 0.12*min(1, max(0, s-20))) })
		}
	}
	res, ok := screened(t, log, sheet)
	if !ok {
		t.Fatal("no pass from the engine alone")
	}
	if !slices.ContainsFunc(res.NotJudged, func(s string) bool { return strings.HasPrefix(s, "clutch:") }) {
		t.Errorf("clutch not among what was not judged: %q", res.NotJudged)
	}
	for _, f := range res.Findings {
		if f.Kind == ClutchSlip {
			t.Errorf("%s", f.Evidence)
		}
	}
}
