package health

import (
	"math"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/reftest"
)

// A coolant pressure that stands off by as much before the launch as in the pass, and goes with
// no boost, is its gauge's before it is gas from a cylinder; gas comes with the boost.
func TestCoolantPressureThatDoesNotWaitForTheBoost(t *testing.T) {
	var past []*logfile.Log
	for _, f := range []string{"a01_marlin", "a02_marlin", "a04_marlin", "a05_marlin"} {
		l, err := logfile.Open(reftest.Path(t, "logs/"+f+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		past = append(past, l)
	}
	log, sheet := opened(t, "a03_marlin", "marlin")
	var boost []float64 // kPa
	for _, c := range log.Columns {
		if c.Name == "Manifold pressure" {
			last := 0.0
			for _, v := range c.Values {
				if !math.IsNaN(v) {
					last = max(0, v-100)
				}
				boost = append(boost, last)
			}
		}
	}
	row := map[float64]int{}
	for i, s := range log.RowTime {
		row[s] = i
	}
	for name, c := range map[string]struct {
		add  func(s float64) float64 // kPa
		want Kind
	}{
		"60 kPa all along": {func(float64) float64 { return 60 }, Sensor},
		"gas":              {func(s float64) float64 { return 0.15 * boost[row[s]] }, CoolantPressure},
	} {
		log, _ := opened(t, "a03_marlin", "marlin")
		alterColumn(t, log, "Coolant pressure", func(v, s float64) float64 { return v + c.add(s) })
		res, ok := screened(t, log, sheet, past...)
		if !ok || len(res.Findings) == 0 || res.Findings[0].Kind != c.want {
			t.Errorf("%s: %+v, want %s", name, res.Findings, c.want)
			continue
		}
		if stands := res.Verdict == StandDown; stands != (c.want == CoolantPressure) {
			t.Errorf("%s: %s", name, res.Verdict)
		}
	}
}
