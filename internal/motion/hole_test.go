package motion

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestHoles: where the only receiver is silent for one to four seconds, speed and place within lie
// in their 90 % intervals as often as elsewhere, whether nothing else speaks or driven wheels whose
// slip has changed meanwhile. Between two readings nobody knows of the shift that the made passes
// may have there.
func TestHoles(t *testing.T) {
	for _, wheels := range []bool{false, true} {
		in, of, before := 0, 0, 0
		for i := range uint64(20) {
			d := makeDrive(i)
			r := rand.New(rand.NewPCG(i, 77))
			lasts := 1 + 3*r.Float64()
			hole := Span{From: 4 + 10*r.Float64()}
			hole.To = hole.From + lasts
			src := d.sensors(100 + i)
			sat := src[2]
			sat.Exclude = []Span{hole}
			use := []Source{sat}
			if wheels {
				use = append(use, slipping(d, hole, 0.08*r.NormFloat64()))
			}
			told := Span{From: hole.From - 0.2, To: hole.To - 0.1} // in the car's time: the delay is known by and by
			for _, holes := range [][]Span{nil, {told}} {
				res, err := Estimate(&Problem{Sources: use, To: 19.5, RestTo: 1.983, Holes: holes,
					Guess: func(u float64) float64 { _, v, _ := d.at(u); return 1.02 * v }})
				if err != nil {
					t.Fatal(err)
				}
				for _, share := range []float64{0.35, 0.65} {
					at := told.From + share*(told.To-told.From)
					_, v, _ := d.at(at)
					_, got, _ := res.At(at)
					_, sd, _ := res.SD(at)
					ok := math.Abs(got-v) <= 1.645*sd
					switch {
					case holes == nil && ok:
						before++
					case holes != nil:
						of++
						if ok {
							in++
						}
					}
				}
			}
		}
		t.Logf("wheels %v: %d of %d in the 90 %% interval, %d without being told of the hole", wheels, in, of, before)
		if float64(in) < 0.8*float64(of) || in <= before {
			t.Errorf("wheels %v: %d of %d in the 90 %% interval, %d without being told of the hole", wheels, in, of, before)
		}
	}
}

// slipping are driven wheels whose slip drifts away by so much within a hole, and back.
func slipping(d *drive, hole Span, by float64) Source {
	s := Source{Name: "driven", Kind: DrivenWheel, Resolution: 0.03}
	for at := 3.0; at < 19.5; at += 0.01 {
		_, v, a := d.at(at - 0.012)
		slip := 0.006 * a
		if at > hole.From && at < hole.To {
			slip += by * math.Sin(math.Pi*(at-hole.From)/(hole.To-hole.From))
		}
		s.T, s.V = append(s.T, at), append(s.V, v*(1+slip))
	}
	return s
}
