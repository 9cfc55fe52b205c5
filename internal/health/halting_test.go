package health

import (
	"math"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/num/changepoint"
	"traplight/internal/pass"
	"traplight/internal/quantity"
)

// A driver who opens and closes all the way down a wet strip runs no pass: its rows count as
// those of a launch do, and what warms is not judged.
func TestHaltingPass(t *testing.T) {
	for name, c := range map[string]struct {
		open float64 // s of full throttle in each second from 2 s on
		cut  bool    // the rest is the limiter's
		want bool
	}{"let run": {1, false, false}, "shifts": {0.75, false, false}, "wet": {0.3, false, true}, "on the limiter": {0.3, true, false}} {
		f := driven()
		f.v = filled(f.n, 40)
		for i, x := range f.t {
			if x > 2 {
				f.full[i] = x-math.Floor(x) < c.open
				f.cut[i] = c.cut && !f.full[i]
			}
		}
		f.halting = f.halts()
		if f.halting != c.want || f.loose(at(6)) != c.want {
			t.Errorf("%s: halting %v, loose %v", name, f.halting, f.loose(at(6)))
		}
		y := filled(f.n, 1)
		r := f.collect(f.mask(func(i int) bool { return f.t[i] > 4 }), y, nil)
		if rough := r.rough(3); (len(rough) > 0 && rough[0] == 3) != c.want {
			t.Errorf("%s: rows as rough as %v", name, rough)
		}
		w := &watcher{frame: f}
		w.frame.set = &source{Set: &dictionary.Set{}}
		w.add(spec{id: "warms", given: "work", terms: []term{{"", 0, 1, 1}}}, make([]bool, f.n), y, nil)
		w.add(spec{id: "warms", given: "work", terms: []term{{"", 0, 1, 1}}, whole: true}, f.mask(func(int) bool { return true }), y, nil)
		if got := len(w.looks) == 0; got != c.want {
			t.Errorf("%s: what warms is judged: %v", name, !got)
		}
	}
	for _, name := range []string{"a01_marlin", "a07_marlin", "b01_heron", "c01_otter_two_passes", "d01_wren_clock", "e01_tern", "f01_gannet"} {
		log, sheet := opened(t, name, map[byte]string{'a': "marlin", 'b': "heron", 'c': "otter", 'd': "wren", 'e': "tern", 'f': "gannet"}[name[0]])
		if r, ok := recordOf(t, log, sheet); !ok || newFrame(r, sheet).halting {
			t.Errorf("%s: read %v, a halting pass", name, ok)
		}
	}
}

// Where no gears are known an upshift with the throttle held open ends a stretch as one that
// closes it does, and a wheel that catches hold with it; an engine that only rises does not.
func TestStretchesWithoutGears(t *testing.T) {
	f := driven()
	f.pass = &pass.Pass{}
	for i, x := range f.t {
		f.gear[i], f.since[i] = 0, nan()
		f.speed[i] = 400 + 40*x
		if x > 4 {
			f.speed[i] = max(400+40*x-150, 560-2000*(x-4))
		}
	}
	for i := at(7); i < at(7.3); i++ {
		f.throttle[i] = 0
	}
	f.gearless()
	if !f.noGears {
		t.Error("gears known")
	}
	for _, c := range []struct {
		t     float64
		gear  int
		since float64
	}{{3.9, 1, 3.88}, {4.2, 0, 0}, {6, 2, 1.5}, {7.1, 0, 0}, {8, 3, 0.7}} {
		i := at(c.t)
		if f.gear[i] != c.gear || c.gear > 0 && math.Abs(f.since[i]-c.since) > 0.15 {
			t.Errorf("%.1f s: stretch %d, %.2f s in it; want %d, %.2f", c.t, f.gear[i], f.since[i], c.gear, c.since)
		}
	}
	f.pass.Gears = []pass.GearSpan{{Gear: 1}}
	if f.gearless(); f.noGears {
		t.Error("gears not known")
	}
}

// A start colder than any before is the crew's doing, and what the pressure does there nobody
// has seen; one that grows hotter than any before may be the fault itself.
func TestColderThanEver(t *testing.T) {
	l := &look{spec: spec{id: "coolant pressure", terms: []term{{"", 0, 1, 1}, {"coolant temperature", 12e3, 10e3, 3e3}}},
		rows: &rowset{P: 2, Y: []float64{0, 0}, X: []float64{1, -1.5, 1, 1.5}}}
	r := &reach{low: []float64{1, -0.5}, high: []float64{1, 0.5}}
	r.find(l, &frame{set: &source{Set: &dictionary.Set{}}}, 0)
	if len(r.bends) != 1 || r.bends[0].up || r.bends[0].edge != -0.5 {
		t.Errorf("bends %+v", r.bends)
	}
}

// A rise that had not ended with the pass is told as far as it came.
func TestToldAsFarAsItCame(t *testing.T) {
	o := &observation{look: &look{rows: &rowset{P: 1, T: []float64{0, 1, 2}, Y: []float64{0, 0, 0}}}, model: &model{}}
	for _, c := range []struct {
		shape shape
		want  float64
	}{{shape{Rise: 8}, 0.034 * 3 / 8}, {step, 0.034}, {shape{Rise: 1}, 0.034}} {
		o.hit = changepoint.Hit{Size: 0.034, Shape: c.shape}
		if got := o.came(); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%+v: %.4f, want %.4f", c.shape, got, c.want)
		}
	}
}

// Where boost or rotor comes up faster than the columns tell, as behind a missed shift, turbine
// and boost are in no balance and are not held against each other.
func TestBackPressureInBalance(t *testing.T) {
	rows := func(rate float64) int {
		j := firstPass(map[quantity.Name][]func(t, speed, boost float64) float64{
			quantity.ExhaustPressure: {func(_, _, boost float64) float64 { return boost + 150e3 }},
		})
		j.boostRate, j.nitrous, j.slip = make([]float64, j.n), make([]float64, j.n), make([]float64, j.n)
		j.target = filled(j.n, nan())
		for i, x := range j.t {
			if x > j.launch+9 && x < j.launch+10 {
				j.boostRate[i] = rate
			}
		}
		w := &watcher{frame: j.frame}
		w.airPath()
		for _, l := range w.looks {
			if l.id == "back-pressure 1" {
				return l.rows.len()
			}
		}
		return 0
	}
	calm, fast := rows(250e3), rows(350e3)
	if calm == 0 || calm-fast < 4 || calm-fast > 6 {
		t.Errorf("%d rows, %d with a second of boost that races up", calm, fast)
	}
}

// A pass that was hardly ever let run is not clear by oil pressure alone.
func TestHaltingPassNeedsMore(t *testing.T) {
	for _, c := range []struct {
		halting bool
		judged  []string
		want    bool
	}{{false, []string{"oil pressure"}, true}, {true, []string{"oil pressure"}, false}, {true, []string{"torque over air", "oil pressure"}, false}, {true, []string{"torque over air", "lambda"}, true}} {
		j := &judge{frame: &frame{halting: c.halting}}
		for _, id := range c.judged {
			j.obs = append(j.obs, &observation{look: &look{spec: spec{id: id}}})
		}
		if j.enough() != c.want {
			t.Errorf("halting %v, judged %v: enough %v", c.halting, c.judged, !c.want)
		}
	}
}
