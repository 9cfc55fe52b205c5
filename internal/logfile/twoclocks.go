package logfile

import (
	"fmt"
	"math"
	"regexp"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

var (
	calledMillis  = regexp.MustCompile(`(?i)^\s*(milli(s|sec\w*|sek\w*)?|msecs?|ms)\s*$`)
	calledSeconds = regexp.MustCompile(`(?i)^\s*(s|secs?|seconds?|sekunden?|secondes?|segundos?|secondi|time|epoch|unix ?time)\s*$`)
)

// joinMillis adds a column of milliseconds, 0 to 999, to the column of whole seconds
// beside it, where the one begins anew when the other moves on.
func joinMillis(t *table.Table) {
	for i := range t.Columns {
		m := &t.Columns[i]
		u, known := quantity.ParseUnit(m.Unit)
		if m.Kind != table.Numbers || !calledMillis.MatchString(m.Name) && !(known && u.Symbol == "ms") {
			continue
		}
		for k := range t.Columns {
			s := &t.Columns[k]
			su, told := quantity.ParseUnit(s.Unit)
			if k == i || s.Kind != table.Numbers || len(s.Values) != len(m.Values) || !calledSeconds.MatchString(s.Name) && !(told && su.Symbol == "s") || !carriesOver(s.Values, m.Values) {
				continue
			}
			t.Notes = append(t.Notes, fmt.Sprintf("columns %q and %q together tell the time", s.Name, m.Name))
			joined := make([]float64, len(s.Values))
			for r := range joined {
				joined[r] = math.Round(1e6*(s.Values[r]+m.Values[r]/1000)) / 1e6
			}
			s.Values, s.Unit = joined, "s"
			t.Columns = append(t.Columns[:i], t.Columns[i+1:]...)
			if t.Clock > i {
				t.Clock--
			}
			return
		}
	}
}

// carriesOver says whether milliseconds fall where, and only where, seconds rise.
func carriesOver(s, ms []float64) bool {
	rises, agree := 0, 0
	for i := range s {
		if !(ms[i] >= 0 && ms[i] < 1000) || s[i] != math.Trunc(s[i]) {
			return false
		}
		if i == 0 {
			continue
		}
		up, fell := s[i] > s[i-1], ms[i] < ms[i-1]
		if up || fell {
			rises++
			if up && fell {
				agree++
			}
		}
	}
	return rises >= 3 && 20*agree >= 19*rises
}
