package compare

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// steady is a pass at constant acceleration a, m/s², which has closed forms:
// x = a·t²/2, v = a·t. Its shift takes the time dead, s, at 200 m, during which it
// rolls on at constant speed.
func steady(a, dead float64) *pass.Pass {
	p := &pass.Pass{Length: 804.672, Complete: true, Launch: quantity.Estimate{Value: 10}}
	p.Rollout = quantity.Estimate{Value: 10 + math.Sqrt(2*0.3048/a), SD: 0.003}
	p.Motion = pass.Motion{Start: 10, Step: 0.01}
	x, v, shiftAt := 0.0, 0.0, 200.0
	left := dead
	var began float64
	marks := []struct {
		name string
		x    float64
	}{{"60 ft", 18.288}, {"1/8 mile", 201.168}, {"1/4 mile", 402.336}, {"1/2 mile", 804.672}}
	for i := 0; x < 820; i++ {
		p.Motion.X = append(p.Motion.X, x)
		p.Motion.V = append(p.Motion.V, v)
		now := 10 + float64(i)*0.01
		if x >= shiftAt && left > 1e-9 {
			if left == dead {
				began = now
			}
			h := min(0.01, left)
			left -= h
			x += v * 0.01
			if left <= 1e-9 {
				p.Shifts = append(p.Shifts, pass.Shift{From: 1, To: 2, Start: quantity.Estimate{Value: began}, End: quantity.Estimate{Value: began + dead}})
			}
			continue
		}
		x += v*0.01 + a*0.01*0.01/2
		v += a * 0.01
		for _, m := range marks {
			if x >= m.x && len(p.Splits) < 4 && (len(p.Splits) == 0 || p.Splits[len(p.Splits)-1].Distance < m.x) {
				p.Splits = append(p.Splits, pass.Split{Mark: m.name, Distance: m.x, Time: quantity.Estimate{SD: 0.004}, Speed: quantity.Estimate{SD: 0.05}})
			}
		}
	}
	return p
}

func TestClosedForm(t *testing.T) {
	c, err := Along([]Pass{{"a", steady(6, 0)}, {"b", steady(5, 0)}})
	if err != nil {
		t.Fatal(err)
	}
	roll := func(a float64) float64 { return math.Sqrt(2 * 0.3048 / a) }
	for k, x := range c.X {
		if k >= len(c.Lines[1].Gap) {
			break
		}
		want := math.Sqrt(2*x/5) - roll(5) - (math.Sqrt(2*x/6) - roll(6))
		if math.Abs(c.Lines[1].Gap[k]-want) > 2e-4 {
			t.Fatalf("gap at %.0f m is %.5f s, closed form %.5f s", x, c.Lines[1].Gap[k], want)
		}
		if dv := math.Sqrt(2*5*x) - math.Sqrt(2*6*x); math.Abs(c.Lines[1].SpeedGap[k]-dv) > 2e-3 {
			t.Fatalf("speed gap at %.0f m is %.4f m/s, closed form %.4f m/s", x, c.Lines[1].SpeedGap[k], dv)
		}
	}
	if len(c.Sections) != 4 {
		t.Fatalf("%d sections, want 4", len(c.Sections))
	}
	sum := 0.0
	for _, s := range c.Sections {
		sum += s.Parts[1].Lost.Value
		if s.Parts[0].Lost != nil {
			t.Error("the first pass loses to itself")
		}
	}
	arose, speed := 0.0, 0.0
	for _, s := range c.Sections {
		arose += *s.Parts[1].TimeBrought
		speed += *s.Parts[1].SpeedBrought
	}
	if math.Abs(arose-sum) > 1e-9 || math.Abs(speed-c.Sections[3].Parts[1].Gained.Value) > 1e-9 {
		t.Errorf("what arose adds up to %.5f s and %.4f m/s, the gaps are %.5f s and %.4f m/s", arose, speed, sum, c.Sections[3].Parts[1].Gained.Value)
	}
	if last := c.Lines[1].Gap[len(c.Lines[1].Gap)-1]; math.Abs(sum-last) > 0.01 {
		t.Errorf("the sections' losses add up to %.4f s, the gap at the end is %.4f s", sum, last)
	}
	if sd := c.Sections[3].Parts[1].Lost.SD; math.Abs(sd-0.004*math.Sqrt2) > 1e-9 {
		t.Errorf("spread %.5f s, want that of two passes", sd)
	}
}

// TestShiftIsFound: a slow shift costs its time where it happens.
func TestShiftIsFound(t *testing.T) {
	c, err := Along([]Pass{{"quick", steady(6, 0.1)}, {"slow", steady(6, 0.4)}})
	if err != nil {
		t.Fatal(err)
	}
	for i, s := range c.Sections {
		lost := s.Parts[1].Lost.Value
		switch i {
		case 0:
			if math.Abs(lost) > 1e-6 {
				t.Errorf("%s: lost %.4f s before anything differed", s.To, lost)
			}
		case 1:
			// The shift begins at 200 m, just before the mark at 201.168 m.
			if s.Parts[1].Shifts != 1 || math.Abs(s.Parts[1].ShiftTime-0.4) > 1e-9 {
				t.Errorf("%s: %d shifts of %.3f s", s.To, s.Parts[1].Shifts, s.Parts[1].ShiftTime)
			}
		case 2:
			if lost < 0.02 {
				t.Errorf("%s: lost only %.4f s after a shift 0.3 s longer", s.To, lost)
			}
		case 3:
			// Here nothing differs: what is lost was brought along.
			if lost < 0.01 || math.Abs(*s.Parts[1].TimeBrought) > 0.05*lost {
				t.Errorf("%s: lost %.4f s, of which %.4f s arose there", s.To, lost, *s.Parts[1].TimeBrought)
			}
		}
	}
}

func TestRefuses(t *testing.T) {
	if _, err := Along([]Pass{{"a", steady(6, 0)}}); err == nil {
		t.Error("one pass is compared")
	}
	_, err := Along([]Pass{{"a", steady(6, 0)}, {"still", &pass.Pass{}}})
	if err == nil || !strings.HasPrefix(err.Error(), "still: ") {
		t.Errorf("a pass without motion: %v", err)
	}
}

func TestGivenUp(t *testing.T) {
	p := steady(6, 0)
	lift := 10 + 8.0
	p.Lift, p.Complete = &lift, false
	c, err := Along([]Pass{{"a", steady(6, 0)}, {"given up", p}})
	if err != nil {
		t.Fatal(err)
	}
	end := c.X[len(c.Lines[1].Time)-1]
	if want := 6 * 8.0 * 8 / 2; math.Abs(end-want) > 2*step {
		t.Errorf("compared to %.0f m, lifted at %.0f m", end, want)
	}
	for _, s := range c.Sections {
		if s.ToX > end+step {
			t.Errorf("section to %s lies past the lift", s.To)
		}
	}
}

func TestProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := steady(rapid.Float64Range(3, 9).Draw(t, "a"), rapid.Float64Range(0, 0.5).Draw(t, "shift"))
		b := steady(rapid.Float64Range(3, 9).Draw(t, "b"), rapid.Float64Range(0, 0.5).Draw(t, "shift b"))
		ab, err := Along([]Pass{{"a", a}, {"b", b}})
		if err != nil {
			t.Fatal(err)
		}
		ba, err := Along([]Pass{{"b", b}, {"a", a}})
		if err != nil {
			t.Fatal(err)
		}
		for k := range ab.Lines[1].Gap {
			if ab.Lines[0].Gap[k] != 0 {
				t.Fatal("the first pass has a gap to itself")
			}
			if math.Abs(ab.Lines[1].Gap[k]+ba.Lines[1].Gap[k]) > 1e-9 {
				t.Fatal("swapping the passes does not swap the sign")
			}
		}
	})
}
