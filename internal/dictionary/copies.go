package dictionary

import (
	"fmt"
	"math"

	"traplight/internal/quantity"
)

// dropCopies leaves out channels that repeat another one of the same quantity, in the same
// or in another unit: a reading that stands twice in a file is no second sensor.
func dropCopies(set *Set) {
	for i := range set.Channels {
		a := &set.Channels[i]
		if a.Quantity == quantity.Unknown || a.Trace.Len() < 20 {
			continue
		}
		for k := i + 1; k < len(set.Channels); k++ {
			b := &set.Channels[k]
			if b.Quantity != a.Quantity || b.Index != a.Index || !isCopy(a, b) {
				continue
			}
			b.problem(fmt.Sprintf("the same as %q; left out", a.Name))
			b.Quantity, b.Index = quantity.Unknown, 0
		}
	}
}

// isCopy says whether two channels read the same at all times but for rounding.
func isCopy(a, b *Channel) bool {
	if a.Trace.Len() != b.Trace.Len() {
		return false
	}
	near := 0.51*(a.Resolution+b.Resolution) + 1e-9
	moves := false
	for k, v := range a.Trace.V {
		if math.Abs(v-b.Trace.V[k]) > near || math.Abs(a.Trace.T[k]-b.Trace.T[k]) > 1e-6 {
			return false
		}
		moves = moves || v != a.Trace.V[0]
	}
	return moves
}
