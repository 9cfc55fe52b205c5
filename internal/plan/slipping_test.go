package plan

import (
	"strings"
	"testing"
)

// A gear that slips oftener than is accepted is always explained, and once.
func TestSlippingIsTold(t *testing.T) {
	p := &Plan{kept: []keptGear{{gear: 1}}, Limits: []Limit{
		{Gear: 1, Limit: gripLimit, Class: Soft, Chance: 0.9}, // told as kept
		{Gear: 2, Limit: gripLimit, Class: Soft, Chance: 0.105},
		{Gear: 3, Limit: gripLimit, Class: Soft, Chance: 0.16},
		{Gear: 4, Limit: torqueCut, Class: Soft, Chance: 0.5},
	}}
	got := p.slipping(0.1)
	if len(got) != 1 || !strings.HasPrefix(got[0], "in gear 3 the tyres slip past their peak more often (16 %) than the accepted 10 %") {
		t.Errorf("%q", got)
	}
}
