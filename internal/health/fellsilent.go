package health

import (
	"fmt"
	"math"
	"strings"
)

// togetherLeast is how many channels that fall silent within a second are no sensors but
// the recorder, or the box or the wires that they share.
const togetherLeast = 4

// fellSilent leaves out channels that fell silent together with others: no sensor's fault,
// but said. launch is the pass's, s.
func (j *judge) fellSilent(launch float64, bs []broken) (rest []broken) {
	var names []string
	from := math.Inf(1)
	for _, b := range bs {
		n := 0
		for _, x := range bs {
			if x.mode == silently && math.Abs(x.from-b.from) < 1 {
				n++
			}
		}
		if b.mode != silently || n < togetherLeast {
			rest = append(rest, b)
			continue
		}
		names, from = append(names, b.channel.Name), min(from, b.from)
	}
	if len(names) > 0 {
		j.doubts = append(j.doubts, fmt.Sprintf("%d channels that fall silent together %.1f s after the launch, so that the recorder or a plug that they share is to be looked at: %s", len(names), from-launch, strings.Join(names, ", ")))
	}
	return rest
}
