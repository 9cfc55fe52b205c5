package dictionary

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// tellAssumed writes what was assumed of units, channels of one remark together.
func tellAssumed(cands []*candidate, set *Set) {
	var remarks []string
	names := map[string][]string{}
	for _, c := range cands {
		if c.score < unsure && !c.forced {
			continue
		}
		for _, n := range c.notes {
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
		set.Notes = append(set.Notes, label+strings.Join(who, ", ")+": "+n)
	}
}
