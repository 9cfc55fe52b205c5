package real

import (
	"math"
	"path/filepath"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/quantity"
	"traplight/internal/reconstruct"
	"traplight/internal/reftest"
)

// drive is one measured file with what its source says of it.
type drive struct {
	file     string
	speed    quantity.Name // channel whose integral is compared
	distance float64       // m, by the source; 0 not stated
	top      float64       // m/s, by the source
	rate     float64       // Hz, true rate of the speed channel by the source; 0 not stated
	rateTol  float64       // 1, relative
	most     int           // passes that may be found at most
}

// The figures are those of the SOURCE.md files ("our count" there unless stated).
var drives = []drive{
	{"turbo-diesel-obd/accelerations-2018-02-23.csv", quantity.VehicleSpeed, 13800, 118 / 3.6, 1.1, 0.15, 1},
	{"turbo-diesel-obd/full-braking-2017-08-07.csv", quantity.VehicleSpeed, 103800, 208 / 3.6, 0.8, 0.35, 3},
	{"highway-wheel-speeds/gnss.csv", quantity.GPSSpeed, 0, 71 / 3.6, 10, 0.1, 0},
	{"highway-wheel-speeds/wheel_speeds.csv", quantity.WheelSpeedFL, 0, 71 / 3.6, 89, 0.35, 0},
	{"platoon-10hz/handling_part38.csv", quantity.GPSSpeed, 3104.7, 0, 10, 0.02, 1},
	{"telematics-1hz/drive16.csv", quantity.GPSSpeed, 2.075 * 1609.344, 61 * 0.44704, 1, 0.05, 1},
	{"ev-can-vs-gps/T3_04_22_2021_1.csv", quantity.GPSSpeed, 0, 0, 0, 0, 0},
	{"petrol-obd-1hz/long1.csv", quantity.VehicleSpeed, 0, 81 / 3.6, 0, 0, 0},
}

func open(t *testing.T, path string) *dictionary.Set {
	t.Helper()
	log, err := logfile.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	set, err := dictionary.Identify(log, dictionary.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// speedOf is the most confident channel of the quantity, or any speed.
func speedOf(set *dictionary.Set, q quantity.Name) *dictionary.Channel {
	for _, n := range []quantity.Name{q, quantity.GPSSpeed, quantity.VehicleSpeed} {
		if c := set.First(n); c != nil {
			return c
		}
	}
	return nil
}

// TestDrives: every file is read; distance, top speed and true rate are those of its
// source; no pass is invented in town and motorway driving.
func TestDrives(t *testing.T) {
	dir := reftest.Path(t, "data")
	for _, d := range drives {
		set := open(t, filepath.Join(dir, d.file))
		c := speedOf(set, d.speed)
		if c == nil {
			t.Errorf("%s: no speed channel", d.file)
			continue
		}
		dist, top := 0.0, 0.0
		for i := 1; i < c.Trace.Len(); i++ {
			dt := c.Trace.T[i] - c.Trace.T[i-1]
			if dt < 10 {
				dist += dt * (c.Trace.V[i] + c.Trace.V[i-1]) / 2
			}
			top = math.Max(top, c.Trace.V[i])
		}
		sheet, err := car.ParseSheet("none", nil)
		if err != nil {
			t.Fatal(err)
		}
		res, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{})
		passes := 0
		if err == nil {
			passes = len(res.Passes)
		}
		t.Logf("%-50s %-14s %7.2f Hz (source %5.1f)  %8.0f m (source %8.0f)  top %5.1f m/s (source %5.1f)  passes %d", d.file, c.Name, c.RateHz, d.rate, dist, d.distance, top, d.top, passes)
		if d.distance > 0 && math.Abs(dist/d.distance-1) > 0.02 {
			t.Errorf("%s: distance %.0f m, source %.0f m", d.file, dist, d.distance)
		}
		if d.top > 0 && math.Abs(top/d.top-1) > 0.02 {
			t.Errorf("%s: top speed %.1f m/s, source %.1f m/s", d.file, top, d.top)
		}
		if d.rate > 0 && math.Abs(c.RateHz/d.rate-1) > d.rateTol {
			t.Errorf("%s: true rate %.2f Hz, source %.1f Hz", d.file, c.RateHz, d.rate)
		}
		if passes > d.most {
			t.Errorf("%s: %d passes in ordinary driving", d.file, passes)
		}
	}
}

// TestPlateaus: engine speed over road speed stands on the manual car's six plateaus
// (SOURCE.md of turbo-diesel-obd) for most steady samples, and does not on the
// automatic's (telematics-1hz), where gears should not be claimed.
func TestPlateaus(t *testing.T) {
	dir := reftest.Path(t, "data")
	plateaus := []float64{113, 58.4, 37.26, 25.69, 20.22, 16.89} // rpm per km/h
	share := func(file string) float64 {
		set := open(t, filepath.Join(dir, file))
		e, v := set.First(quantity.EngineSpeed), speedOf(set, quantity.VehicleSpeed)
		if e == nil || v == nil {
			t.Fatalf("%s: engine or road speed not found", file)
		}
		on, n := 0, 0
		for i := 1; i+1 < v.Trace.Len(); i++ {
			at := v.Trace.T[i]
			speed := v.Trace.V[i]
			w, ok := e.Trace.At(at)
			if !ok || speed < 8 || w < 100 || math.Abs(v.Trace.V[i+1]-v.Trace.V[i-1]) > 0.6 {
				continue
			}
			n++
			x := w * 30 / math.Pi / (speed * 3.6)
			for _, p := range plateaus {
				if math.Abs(x/p-1) < 0.03 {
					on++
					break
				}
			}
		}
		if n < 20 {
			t.Fatalf("%s: %d steady samples", file, n)
		}
		t.Logf("%s: %.0f %% of %d steady samples on a plateau", file, 100*float64(on)/float64(n), n)
		return float64(on) / float64(n)
	}
	if s := share("turbo-diesel-obd/full-braking-2017-08-07.csv"); s < 0.7 {
		t.Errorf("manual gearbox: %.0f %% of samples on its plateaus", 100*s)
	}
	if s := share("telematics-1hz/drive16.csv"); s > 0.6 {
		t.Errorf("automatic gearbox: %.0f %% of samples on another car's plateaus", 100*s)
	}
}
