package dictionary

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// unitsOf is the unit of each channel as it was read.
func unitsOf(set *Set) (units []string) {
	for i := range set.Channels {
		units = append(units, set.Channels[i].Unit)
	}
	return units
}

// assumed says what was assumed of units, channels of one remark together. Where other channels
// have since settled another unit than the one read, units by channel, nothing is left of that.
func assumed(cands []*candidate, set *Set, units []string) (told []string) {
	var remarks []string
	names := map[string][]string{}
	for i, c := range cands {
		if c.score < unsure && !c.forced {
			continue
		}
		for _, n := range c.notes {
			if n == c.best.note && set.Channels[i].Unit != units[i] {
				continue
			}
			if names[n] == nil {
				remarks = append(remarks, n)
			}
			names[n] = append(names[n], fmt.Sprintf("%q", c.col.Name))
		}
	}
	for _, n := range remarks {
		who := names[n]
		label := "channel "
		if len(who) > 1 {
			label = "channels "
		}
		if len(who) > 6 {
			who = append(who[:5:5], quantity.Count(len(who)-5, "other", "others"))
		}
		told = append(told, label+strings.Join(who, ", ")+": "+n)
	}
	return told
}
