package ledger

import (
	"context"
	"errors"
	"math"
	"testing"

	"traplight/internal/fitcar"
	"traplight/internal/fitcar/fitcartest"
	"traplight/internal/sim"
	"traplight/internal/sim/simtest"
)

func model(t testing.TB, members int) *fitcar.Model {
	t.Helper()
	runs, err := fitcartest.Record(3, 1, simtest.InventedPass().Target)
	if err != nil {
		t.Fatal(err)
	}
	m, err := fitcar.Fit(context.Background(), fitcartest.Sheet(), fitcartest.Observations(runs), fitcar.Options{Members: members})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// Ours add up to the difference between the pass and the pass with all of ours ideal, mean of the members;
// each line has the sign that its cause must have.
func TestOf(t *testing.T) {
	m := model(t, 2)
	lines, err := Of(t.Context(), m, 1)
	if err != nil {
		t.Fatal(err)
	}
	want, members := 0.0, append([]fitcar.Member{m.Mean}, m.Members...)
	for i := range members {
		car, c, ok := caseOf(m, &members[i], 1, bestScale(leftOver(m), 1))
		if !ok {
			t.Fatal("no such pass")
		}
		all := *c.Pass
		c.apply(&all, 1<<players-1)
		best, err := (&sim.Runner{Car: gripping(car)}).Run(&all)
		if err != nil {
			t.Fatal(err)
		}
		want += (best.Trap - c.Trap) / float64(len(members))
	}
	sum, alone := 0.0, map[string]float64{}
	for _, l := range lines {
		if l.Group == "ours" {
			sum += l.Speed
		}
		if l.SD < 0 || math.IsNaN(l.SD) {
			t.Errorf("%s: sd %g", l.Cause, l.SD)
		}
		alone[l.Cause] = l.Alone
	}
	if math.Abs(sum-want) > 0.001 {
		t.Errorf("ours add up to %.4f m/s, the difference is %.4f", sum, want)
	}
	for cause, least := range map[string]float64{"grip": -0.2, "held-back torque": 0.3, "shifts": 1, "boost recovery": 0.5, "launch": 0, "drag": 3, "wind": 0} {
		if v, ok := alone[cause]; !ok || v < least {
			t.Errorf("%s: %.2f m/s, at least %g is due", cause, v, least)
		}
	}
	if len(lines) != 10 {
		t.Errorf("%d lines", len(lines))
	}
}

// A schedule with one boost for all gears holds no torque back beyond grip; still air
// takes nothing.
func TestNothingLost(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	p.Target = []float64{150e3}
	p.Air.Headwind = 0
	a := run(t.Context(), car, Case{Pass: p})
	if a == nil {
		t.Fatal("the car does not reach the line")
	}
	if d := a.alone[held] - a.alone[grip]; math.Abs(d) > 1e-9 {
		t.Errorf("held-back torque beyond grip: %g m/s", d)
	}
	for name, v := range map[string]float64{"wind": a.given[2], "launch": a.alone[launch], "power": a.alone[power], "driver": a.alone[driver]} {
		if math.Abs(v) > 1e-9 {
			t.Errorf("%s: %g m/s, want none", name, v)
		}
	}
}

// Boost that stands over a target under the wastegate's spring goes to its target: the
// ideal is by definition, even where it costs speed.
func TestTargetUnderSpring(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	car.Boost.Floor = 60e3
	p.Target = []float64{30e3}
	a := run(t.Context(), car, Case{Pass: p})
	if a == nil || a.alone[recovery] >= 0 {
		t.Errorf("%+v", a)
	}
}

// The ledger of a pass with its intervals: twelve members.
func BenchmarkOf(b *testing.B) {
	m := model(b, 12)
	for b.Loop() {
		if _, err := Of(context.Background(), m, 1); err != nil {
			b.Fatal(err)
		}
	}
}

// What a lift on the way cost is the driver's, and no other line's.
func TestLift(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	plain := run(t.Context(), car, Case{Pass: p})
	base, err := (&sim.Runner{Car: car}).Run(p)
	if err != nil || plain == nil {
		t.Fatal(err)
	}
	a := run(t.Context(), car, Case{Pass: p, Trap: base.Trap - 5, Lifted: true})
	if a == nil {
		t.Fatal("the car does not reach the line")
	}
	for i, name := range ours {
		want := plain.share[i]
		if i == driver {
			want += 5
		}
		if math.Abs(a.share[i]-want) > 1e-9 {
			t.Errorf("%s: %g m/s, want %g", name, a.share[i], want)
		}
	}
}

// Lifts that began in wheelspin are saved by tyres that hold as well as by a driver who does not
// lift: each alone has them, and they share them out.
func TestLiftInWheelspin(t *testing.T) {
	car, p := simtest.Invented(), simtest.InventedPass()
	base, err := (&sim.Runner{Car: car}).Run(p)
	if err != nil {
		t.Fatal(err)
	}
	plain := run(t.Context(), car, Case{Pass: p})
	a := run(t.Context(), car, Case{Pass: p, Trap: base.Trap - 4, Lifted: true, Spun: 0.5})
	if plain == nil || a == nil {
		t.Fatal("the car does not reach the line")
	}
	sum, was := 0.0, 0.0
	for i := range ours {
		sum, was = sum+a.share[i], was+plain.share[i]
	}
	if math.Abs(sum-was-4) > 1e-9 {
		t.Errorf("ours add up to %g m/s more than without the lifts, want 4", sum-was)
	}
	for i, want := range map[int]float64{grip: 2, held: 2, driver: 4, shifts: 0} {
		if got := a.alone[i] - plain.alone[i]; math.Abs(got-want) > 1e-9 {
			t.Errorf("%s alone: %g m/s more, want %g", ours[i], got, want)
		}
	}
}

// A pass that was given up has no speed to account for, and one that the model does not
// run as it went gets no account.
func TestRefused(t *testing.T) {
	m := model(t, 1)
	m.Passes[0].Obs.Trap -= 20
	if _, err := Of(t.Context(), m, 0); !errors.Is(err, ErrUnlike) {
		t.Error(err)
	}
	m.Passes[0].Obs.Trap = math.NaN()
	if _, err := Of(t.Context(), m, 0); !errors.Is(err, ErrNoTrap) {
		t.Error(err)
	}
}

// What a replay leaves over is known of every pass to the line, and is little where the model
// made the passes; half of what the best has over the pass is the engine's.
func TestBestScale(t *testing.T) {
	for k, left := range leftOver(model(t, 1)) {
		if math.IsNaN(left) || math.Abs(left) > 0.5 {
			t.Errorf("pass %d: %.2f m/s left over", k, left)
		}
	}
	nan := math.NaN()
	for _, c := range []struct {
		left []float64
		k    int
		want float64
	}{
		{[]float64{0, 0.85, nan}, 0, 1.015},
		{[]float64{0, 0.85, nan}, 1, 1},
		{[]float64{0.17, 0.85}, 0, 1.012},
		{[]float64{-1, 0.85}, -1, 1.015},
		{[]float64{0, 9}, 0, 1.05},
		{[]float64{0.85, nan}, 1, 1}, // one pass shows no best
	} {
		if got := bestScale(c.left, c.k); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v, pass %d: %.4f, want %.4f", c.left, c.k, got, c.want)
		}
	}
}
