package health

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/num/changepoint"
)

// shifted is a watch with rows, and how far its scan, and its neighbours' time, show it to move.
func shifted(id string, size, evidence, beside float64) *observation {
	o := lacking(id, 1, func(float64) float64 { return 0 })
	o.hit = changepoint.Hit{At: 20, Size: size, SD: 0.3}
	o.small, o.evidence, o.beside, o.besideTo = 0.3, evidence, beside, 1
	return o
}

// A watch that shows more together with the strongest one than by its own scan still makes
// its kind a candidate.
func TestWhatMovesBesideIsStillACause(t *testing.T) {
	j := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
	obs := []*observation{shifted("exhaust temperature", 1.6, 4.6, 0), shifted("lambda", 0.5, 3.1, 4), shifted("injectors over air", 0.5, 3.1, 1)}
	lean := 0.0
	for _, c := range attribute(obs, nil, j.amounts) {
		if c.kind == MixtureLean {
			lean = c.strength()
		}
	}
	if lean < 9 {
		t.Errorf("a lean mixture has a strength of %.1f, want that of all three watches", lean)
	}
	obs[1].hit.Size = -0.5 // its own scan found the other way: nothing to build on
	for _, c := range attribute(obs, nil, j.amounts) {
		if c.kind == MixtureLean {
			t.Errorf("lean by a mixture that grew richer")
		}
	}
}

// Two undriven wheels that stay with the car's speed bear it out: what moves between engine,
// driven wheels and road is then the tyre's. Without them the speed is as likely wrong.
func TestASpeedThatIsBorneOutIsNotDoubted(t *testing.T) {
	j := &judge{frame: &frame{sheet: &car.Sheet{Cylinders: 6}}}
	moved := []*observation{shifted("tyre slip", 1, 5.5, 0), shifted("engine over road", 1, 5.7, 0), shifted("torque over air", 1, 5.7, 0)}
	if got := attribute(moved, nil, j.amounts); got[0].kind != none {
		t.Errorf("%s first, want the speed doubted", got[0].kind)
	}
	still := append(moved, shifted("wheel wheel_speed_fl", 0, 0, 0), shifted("wheel wheel_speed_fr", 0, 0, 0))
	if got := attribute(still, nil, j.amounts); got[0].kind != Tyre {
		t.Errorf("%s first, want the tyre", got[0].kind)
	}
}
