package main

import (
	"fmt"
	"math"

	"traplight/internal/car"
)

// changes are the kinds of change a plan may state, in the order of the table.
var changes = []string{"more boost", "less boost", "shift speeds", "nitrous", "weather alone", "other"}

// changeOf is the kind of a planned entry, a place in changes.
func changeOf(p *car.Planned) int {
	boost := 0.0
	for _, b := range p.BoostAdd {
		boost += b
	}
	switch {
	case p.Nitrous != nil && *p.Nitrous:
		return 3
	case boost > 0:
		return 0
	case boost < 0:
		return 1
	case p.ShiftAdd != 0 || p.ShiftAim != nil:
		return 2
	case p.BoostTarget == nil && p.MassAdd == 0 && p.DragAreaAdd == 0 && !(p.LaunchSpeed > 0):
		return 4
	}
	return 5
}

// byChange is the score of the plan's kind of change, all cases together.
func (b *bench) byChange(p *car.Planned) *score { return &b.changes[changeOf(p)] }

func rms(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v * v
	}
	return math.Sqrt(s / float64(len(x)))
}

func (b *bench) changesSummary() {
	fmt.Printf("\nby kind of change, all cases\n")
	for i := range b.changes {
		s := &b.changes[i]
		if n := len(s.model); n > 0 {
			fmt.Printf("  %-14s %3d passes: median %.2f %%  p90 %.2f %%  mean signed %+.2f %%; holds %.0f %%, mean width %.2f %%, error over spread %.2f; sign right in %d of %d\n",
				changes[i], n, 100*quantile(s.model, 0.5), 100*quantile(s.model, 0.9), 100*mean(s.model), 100*float64(s.held)/float64(n), 100*mean(s.width), rms(s.spread), s.signsRight, s.signs)
		}
	}
}
