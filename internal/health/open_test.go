package health

import (
	"errors"
	"path/filepath"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
	"traplight/internal/reconstruct"
	"traplight/internal/reftest"
)

// Real drives of healthy cars (shared/data, sources in the folders' SOURCE.md):
// whatever the rooms below find in them, the screen raises no fault of the engine.
// They hold no pass in the sense of the strip; what counts as one is judged. All
// open drives are run by bench/health -real.
func TestRealDrivesRaiseNoEngineFault(t *testing.T) {
	judged, read := 0, 0
	for _, f := range []string{"turbo-diesel-obd/full-braking-2017-08-07.csv", "telematics-1hz/drive05.csv", "ev-can-vs-gps/T3_04_22_2021_1.csv"} {
		f = reftest.Path(t, "data/"+f)
		func() {
			log, err := logfile.Open(f)
			if err != nil {
				t.Logf("%s: %v", filepath.Base(f), err)
				return
			}
			set, err := dictionary.Identify(log, dictionary.Options{})
			if err != nil {
				t.Logf("%s: %v", filepath.Base(f), err)
				return
			}
			read++
			sheet := &car.Sheet{}
			res, err := reconstruct.Passes(set, sheet, nil, reconstruct.Options{File: filepath.Base(f)})
			if err != nil {
				if !errors.Is(err, reconstruct.ErrNoSpeed) {
					t.Logf("%s: %v", filepath.Base(f), err)
				}
				return
			}
			for i, p := range res.Passes {
				judged++
				r := Screen(Record{Name: filepath.Base(f), Set: set, Pass: p, Clear: true}, nil, sheet)
				for _, x := range r.Findings {
					if x.Kind != Sensor {
						t.Errorf("%s movement %d: %s, %s", filepath.Base(f), i+1, x.Kind, x.Evidence)
					} else {
						t.Logf("%s movement %d: sensor: %s", filepath.Base(f), i+1, x.Evidence)
					}
				}
				t.Logf("%s movement %d: %q", filepath.Base(f), i+1, r.Verdict)
			}
		}()
	}
	t.Logf("%d files read, %d movements judged", read, judged)
	if read == 0 {
		t.Error("no file could be read")
	}
}
