package logfile

import (
	"fmt"
	"regexp"

	"traplight/internal/logfile/table"
	"traplight/internal/quantity"
)

// calledStep are names of a column that tells the time since the row before.
var calledStep = regexp.MustCompile(`(?i)^\s*(d[ _]?t|Δ ?t|(delta|interval|time[ _-]?(step|delta|diff(erence)?))([ _-]?(t|time))?|step[ _-]?time|zeitschritt|intervall|intervalle|intervalo|pas de temps)\s*$`)

// addSteps makes a clock of a column that tells, with a unit of time, how long each row
// comes after the one before, in a table that has no other.
func addSteps(t *table.Table) {
	for i := range t.Columns {
		c := &t.Columns[i]
		unit, told := quantity.ParseUnit(c.Unit)
		if c.Kind != table.Numbers || c.Times != nil || len(c.Values) < 50 || !told || unit.Dim != quantity.DimTime || !calledStep.MatchString(c.Name) {
			continue
		}
		if best, _ := likeClock(t); best >= 0 {
			return
		}
		sum := 0.0
		sums := make([]float64, len(c.Values))
		for r, x := range c.Values {
			if x <= 0 && r > 0 || x < 0 {
				return
			}
			if r > 0 && x == x {
				sum += x
			}
			if sums[r] = sum * unit.Factor; x != x {
				sums[r] = x // a line of means, say
			}
		}
		redecimal(sums, sum*unit.Factor)
		c.Values, c.Unit = sums, "s"
		t.Notes = append(t.Notes, fmt.Sprintf("no column tells the time; that since the row before, %q, is added up from zero", c.Name))
		return
	}
}
