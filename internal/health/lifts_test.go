package health

import (
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
)

// driven is second gear from 2 s on, after a first gear, at full throttle, 20 ms a cell.
func driven() *frame {
	f := &frame{n: 500, launch: 0, end: 9.5, sheet: &car.Sheet{}}
	for i := range f.n {
		t, g := float64(i)*cell, 1
		since := t
		if t >= 2 {
			g, since = 2, t-2
		}
		f.t, f.gear, f.since = append(f.t, t), append(f.gear, g), append(f.since, since)
		f.throttle, f.full = append(f.throttle, 1), append(f.full, since > 0.25)
		f.speed, f.slip = append(f.speed, 500), append(f.slip, 0.05)
	}
	f.again, f.cut, f.raced = make([]bool, f.n), make([]bool, f.n), make([]bool, f.n)
	return f
}

func at(t float64) int { return int(t/cell + 0.5) }

// After a lift of half a second the time in the gear begins anew; a throttle that is still
// on its way at the shift, and a lift of another gear, change nothing.
func TestTimeInGearBeginsAnewAfterALift(t *testing.T) {
	f := driven()
	for i := at(2); i < at(2.2); i++ {
		f.throttle[i] = 0.3 // the shift's
	}
	for i := at(5); i < at(5.5); i++ {
		f.throttle[i], f.full[i] = 0, false
	}
	for i := at(8); i < at(9.4); i++ {
		f.throttle[i] = 0.5 // a plate that closes by itself
	}
	f.reopened()
	for _, c := range []struct {
		t, since float64
		full     bool
	}{{1, 1, true}, {2.5, 0.5, true}, {4.9, 2.9, true}, {5.6, 0.1, false}, {6, 0.5, false}, {6.3, 0.8, true}, {8.5, 3, true}, {9, 3.5, true}} {
		i := at(c.t)
		if d := f.since[i] - c.since; d > 1e-6 || d < -1e-6 || f.full[i] != c.full {
			t.Errorf("%.1f s: %.2f s in gear, full %v; want %.2f, %v", c.t, f.since[i], f.full[i], c.since, c.full)
		}
	}
}

// On the limiter, and where electronics cut for spinning tyres, nothing is judged.
func TestCutsAreNotJudged(t *testing.T) {
	for name, c := range map[string]struct {
		limit float64
		cut   bool
		left  bool
	}{"limiter": {570, false, true}, "no limit known": {0, false, false}, "slip cut": {900, true, true}, "no slip cut": {900, false, false}} {
		f := driven()
		f.sheet.RevLimit, f.sheet.SlipCut = c.limit, c.cut
		for i := at(4); i < at(4.5); i++ {
			f.speed[i], f.slip[i] = 567, 0.3
		}
		f.limited()
		for _, at4 := range []float64{3.96, 4.2, 4.6} {
			if f.full[at(at4)] == c.left {
				t.Errorf("%s, at %.2f s: full %v", name, at4, f.full[at(at4)])
			}
		}
		if !f.full[at(3.8)] || !f.full[at(5)] {
			t.Errorf("%s: left out far from it", name)
		}
	}
}

// A clutch that slips lets the engine run to its limiter, away from the road: those moments
// are what shows it.
func TestRunawayIsJudged(t *testing.T) {
	for name, c := range map[string]struct {
		v    float64
		left bool
	}{"with the road": {60, true}, "away from it": {45, false}} {
		f := driven()
		f.set = &source{Set: &dictionary.Set{}}
		f.sheet.RevLimit, f.sheet.Gears, f.sheet.FinalDrive = 570, []float64{3, 2, 1.5, 1}, 3
		f.sheet.TyreRadius.Value = 0.3167
		f.v = filled(f.n, c.v)
		for i := at(4); i < at(4.5); i++ {
			f.speed[i], f.gear[i] = 567, 4
		}
		f.limited()
		if f.full[at(4.2)] == c.left {
			t.Errorf("%s: full %v", name, f.full[at(4.2)])
		}
	}
}

// A foot that comes off for spinning tyres goes down again once they hold; a plate that
// stays half shut long after is judged.
func TestAPlateThatStaysHalfShutAfterWheelspinIsJudged(t *testing.T) {
	for _, c := range []struct {
		name  string
		until float64 // s, half shut from 5 s on
		spins bool
		left  map[float64]bool
	}{
		{"a lift for wheelspin", 6, true, map[float64]bool{4.5: true, 5.1: false, 5.9: false, 6.5: true}},
		{"a plate, after wheelspin", 9.5, true, map[float64]bool{4.5: true, 5.1: false, 6.5: false, 7.2: true, 9: true}},
		{"a plate, tyres holding", 9.5, false, map[float64]bool{5.1: true, 9: true}},
	} {
		f := driven()
		x, mask := make([]float64, f.n), make([]bool, f.n)
		for i := range f.n {
			mask[i], x[i] = f.gear[i] == 2, 1
			if i >= at(5) && i < at(c.until) {
				x[i] = 0.5
			}
			if c.spins && i >= at(4.9) && i < at(5.3) {
				f.slip[i] = 0.2
			}
		}
		f.leaveOutLifts(mask, x)
		for s, want := range c.left {
			if mask[at(s)] != want {
				t.Errorf("%s: at %.1f s judged %v", c.name, s, !want)
			}
		}
	}
}
