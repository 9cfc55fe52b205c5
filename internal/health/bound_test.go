package health

import (
	"math"
	"testing"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

// Boost far over the sheet's limit is the cause of what else goes wrong there, and is told even
// where a finding of another kind takes it for its own.
func TestBoostOverTheSheetsLimitIsTold(t *testing.T) {
	j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{
		quantity.ManifoldPressure: {func(_, _, boost float64) float64 { return 100e3 + boost }},
	})
	j.sheet = &car.Sheet{}
	if got := j.overLimit(); got != 0 {
		t.Errorf("%.0f Pa over a limit that nobody stated", got)
	}
	j.sheet.Limits.MaxBoost = 100e3
	if got := j.overLimit(); math.Abs(got-50e3) > 1e3 {
		t.Errorf("%.0f Pa over the limit, want 50 kPa", got)
	}
	j.findings = []Finding{{Kind: Ignition, Score: 30, covers: map[string]bool{"boost over target": true}}}
	j.limits = []breach{{kind: Overboost, severity: Moderate, text: "boost over the sheet's limit", score: most, sheet: true}}
	j.sensors(j.set.Set)
	told := false
	for _, f := range j.findings {
		told = told || f.Kind == Overboost && f.OfSheet
	}
	if !told {
		t.Errorf("the sheet's limit is not told: %+v", j.findings)
	}
}
