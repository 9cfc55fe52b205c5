package life

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"traplight/internal/car"
	"traplight/internal/num/rainflow"
	"traplight/internal/num/weibull"
	"traplight/internal/pass"
)

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.8g, want %.8g ± %.2g", what, got, want, tol)
	}
}

// run is a pass of five gears, two seconds each at a constant torque, with a fifth of a
// second of shift between, 100 samples a second, engine at 700 rad/s.
func run(name, when string, torque float64) Pass {
	p := Pass{Name: name, When: when, Step: 0.01, TorqueSD: 0.03, Loads: map[car.Load][]float64{}}
	box, hub, speed := []float64{}, []float64{}, []float64{}
	for g := 1; g <= 5; g++ {
		for i := range 220 {
			gear, full, x := g, true, torque
			if i >= 200 {
				gear, full, x = 0, false, 0
			}
			p.Gear, p.Full, p.Engine = append(p.Gear, gear), append(p.Full, full), append(p.Engine, 700)
			box, hub = append(box, x), append(hub, x*4)
			speed = append(speed, 11000+x)
		}
	}
	p.Loads[car.GearboxTorque], p.Loads[car.HubTorque], p.Loads[car.TurboSpeed] = box, hub, speed
	return p
}

func mustParts(t testing.TB, text string) *car.Parts {
	t.Helper()
	p, err := car.ParseParts("parts.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestSlopes rebuilds ISO 6336's exponents from the end points of its life factors (A): flank p =
// ln(N2/N1)/ln(ZNT)/2, root p = ln(N2/N1)/ln(YNT).
func TestSlopes(t *testing.T) {
	flank := func(n1, n2, z float64) float64 { return math.Log(n2/n1) / math.Log(z) / 2 }
	root := func(n1, n2, y float64) float64 { return math.Log(n2/n1) / math.Log(y) }
	for _, r := range []struct {
		name string
		want float64
	}{
		{"tooth flank, case-hardened", flank(1e5, 5e7, 1.6)}, {"tooth flank, nitrided", flank(1e5, 2e6, 1.3)}, {"tooth flank, nitrocarburised", flank(1e5, 2e6, 1.1)},
		{"tooth root, case-hardened", root(1e3, 3e6, 2.5)}, {"tooth root, through-hardened", root(1e4, 3e6, 2.5)},
		{"tooth root, nitrided", root(1e3, 3e6, 1.6)}, {"tooth root, nitrocarburised", root(1e3, 3e6, 1.1)},
		{"ball bearing", 3}, {"roller bearing", 10.0 / 3},
	} {
		near(t, r.name, car.Slopes[r.name], r.want, 2e-3)
	}
	// Ten per cent more torque: 2.2998 times the damage at a case-hardened root (D).
	near(t, "ten per cent", math.Pow(1.1, car.Slopes["tooth root, case-hardened"]), 2.2998, 1e-4)
	// A bearing under 5, 10, 15 for 50, 30, 20 %: equivalent load 10.12347 and 10.35217 (D).
	load := []rainflow.Cycle{{To: 5, Count: 50}, {To: 10, Count: 30}, {To: 15, Count: 20}}
	for slope, want := range map[float64]float64{3: 10.12347, 10.0 / 3: 10.35217} {
		got, _ := rainflow.Equivalent(load, slope)
		near(t, "bearing", got, want, 1e-5)
	}
}

// TestByHand: constant torque in known gears has a damage that a pencil finds.
func TestByHand(t *testing.T) {
	passes := []Pass{run("a", "2031-05-17", 800), run("b", "2031-05-18", 800)}
	parts := mustParts(t, `
[[part]]
serial = "gear"
load = "gearbox torque"
gears = [3]
counting = "revolutions"
slope = 8.738
reference_nm = 1000
cycles = 1e5
levels_nm = [700, 900]
[[part]]
serial = "shaft"
load = "hub torque"
slope = 5
reference_nm = 4000
cycles = 1000
[[part]]
serial = "anything"
`)
	r := Assess(parts, passes)
	g, s, a := r.Parts[0], r.Parts[1], r.Parts[2]
	// Two passes of two seconds at 700 rad/s: 445.6 turns at 800 N·m.
	turns := 2 * 2 * 700 / (2 * math.Pi)
	exact := turns * math.Pow(0.8, 8.738) / 1e5
	if g.Damage.Value < exact || g.Damage.Value > exact*math.Pow(10, 0.01*8.738)*1.0001 {
		t.Errorf("damage %.4g, by hand %.4g", g.Damage.Value, exact)
	}
	near(t, "turns", g.EquivalentN, turns, 1e-6*turns)
	near(t, "time in gear", g.FullTime, 4, 1e-9)
	near(t, "time above 700", g.Levels[0].Time, 4, 1e-9)
	near(t, "time above 900", g.Levels[1].Time, 0, 0)
	near(t, "bounds", g.Damage.High/g.Damage.Value, math.Exp(1.6448536*8.738*0.03), 1e-6)
	// Five pulses of 3200 N·m a pass: zero up, pulses, zero down. Rainflow counts half a cycle at
	// each end and four whole ones between: five of 3200.
	near(t, "pulses", s.EquivalentN, 10, 1e-9)
	near(t, "equivalent", s.Equivalent.Value, 3200, 1e-6)
	near(t, "damage of the shaft", s.Damage.Value, 10*math.Pow(0.8, 5)/1000, 1e-9)
	if a.Damage != nil || a.Passes != 2 || a.Left != nil || a.Highest != nil {
		t.Errorf("a part without a load: %+v", a)
	}
	near(t, "full throttle", a.FullTime, 20, 1e-9)
}

func TestOverLimit(t *testing.T) {
	p := run("a", "2031-05-17 10:00", 800)
	x := p.Loads[car.GearboxTorque]
	for _, i := range []int{10, 11, 12, 25, 100, 101, 460} { // 25 lies within a fifth of a second of 12
		x[i] = 950
	}
	text := "[[part]]\nserial = \"a\"\nload = \"gearbox torque\"\nover_nm = 900\n"
	look := func(text string) Part { return Assess(mustParts(t, text), []Pass{p}).Parts[0] }
	a := look(text)
	if a.Over != 3 || *a.OverTop != 950 || a.OverNew != 3 || len(a.Look) != 1 {
		t.Errorf("%+v", a)
	}
	near(t, "time", a.OverTime, 0.07, 1e-9)
	// Looked at after it: nothing new. Looked at before: all new.
	if a := look(text + "[[inspection]]\nserial = \"a\"\nwhen = \"2031-05-17 18:00\"\nfound = \"well\"\n"); a.OverNew != 0 || len(a.Look) != 0 || a.Over != 3 {
		t.Errorf("after an inspection: %+v", a)
	}
	if a := look(text + "[[inspection]]\nserial = \"a\"\nwhen = \"2031-05-01\"\nfound = \"well\"\n"); a.OverNew != 3 {
		t.Errorf("before: %+v", a)
	}
	if a := look("[[part]]\nserial = \"a\"\nload = \"exhaust temperature\"\nover_temp_c = 900\n"); a.Over != 0 || len(a.Notes) != 1 || !strings.Contains(a.Notes[0], "does not tell exhaust temperature") {
		t.Errorf("no channel: %+v", a)
	}
}

func TestWhoWasInTheCar(t *testing.T) {
	passes := []Pass{run("a", "2031-05-01 10:00", 800), run("b", "2031-05-10 10:00", 800), {Name: "c", When: "2031-05-11", NoLog: true}, run("d", "", 800)}
	passes[1].Car = "Heron"
	for _, r := range []struct {
		text                     string
		passes, recorded, unsure int
	}{
		{"", 4, 3, 0}, {"car = \"heron\"", 4, 3, 0}, {"car = \"marlin\"", 3, 2, 0}, {"installed = 2031-05-05", 3, 2, 1}, {"removed = 2031-05-05", 2, 2, 1}, {"passes_before = 7", 11, 3, 0},
	} {
		p := Assess(mustParts(t, "[[part]]\nserial = \"x\"\n"+r.text+"\n"), passes).Parts[0]
		if p.Passes != r.passes || p.Recorded != r.recorded || p.Unsure != r.unsure {
			t.Errorf("%s: %d passes, %d recorded, %d unsure; want %d, %d, %d", r.text, p.Passes, p.Recorded, p.Unsure, r.passes, r.recorded, r.unsure)
		}
	}
}

func TestDue(t *testing.T) {
	passes := []Pass{run("a", "2031-05-01", 800), run("b", "2031-05-02", 800), run("c", "2031-05-03", 800)}
	for _, r := range []struct {
		name, text, due, by string
		left                int
	}{
		{"passes to come", "due_passes = 10", "", "number of passes", 7},
		{"passes used", "due_passes = 3", "3 passes of 3", "number of passes", 0},
		{"time", "due_time_s = 75", "", "time at full throttle", 4},
		{"time used", "due_time_s = 30", "30 s at full throttle of 30", "time at full throttle", 0},
		// A pass takes 10·0.8⁵... five pulses: 5·0.32768/100 = 0.0164; bounds × 1.28.
		{"damage to come", "load = \"hub torque\"\nslope = 5\nreference_nm = 4000\ncycles = 100", "", "damage", 11},
		{"damage used", "load = \"hub torque\"\nslope = 5\nreference_nm = 4000\ncycles = 100\ndue_damage = 0.04", "damage of 0.049", "damage", 0},
		{"damage perhaps", "load = \"hub torque\"\nslope = 5\nreference_nm = 4000\ncycles = 100\ndue_damage = 0.055", "damage may have reached 0.055", "damage", 0},
	} {
		p := Assess(mustParts(t, "[[part]]\nserial = \"x\"\n"+r.text+"\n"), passes).Parts[0]
		due := strings.Join(p.Due, "; ")
		if (due == "") != (r.due == "") || !strings.HasPrefix(due, r.due) || p.Left == nil || p.Left.By != r.by || p.Left.Passes != r.left {
			t.Errorf("%s: due %q, left %+v", r.name, due, p.Left)
		}
	}
	gone := Assess(mustParts(t, "[[part]]\nserial = \"x\"\nremoved = 2032-01-01\ndue_passes = 1\n"), passes)
	if len(gone.Parts[0].Due) > 0 || len(gone.DueLines()) > 0 {
		t.Errorf("a part taken out is due: %+v", gone.Parts[0])
	}
}

func TestKinds(t *testing.T) {
	text := func(failed, running string) string { return failed + running }
	failed := "[[part]]\nserial = \"f1\"\nkind = \"k\"\nfailed = true\nremoved = 2031-01-01\npasses_before = 44\n[[part]]\nserial = \"f2\"\nkind = \"k\"\nfailed = true\nremoved = 2031-01-01\npasses_before = 52\n"
	running := "[[part]]\nserial = \"r\"\nkind = \"k\"\npasses_before = 40\nbeta = 1.5\n"
	r := Assess(mustParts(t, text(failed, running)), nil)
	k := r.Kinds[0]
	want, err := weibull.Fit(weibull.Data{Failures: []float64{44, 52}, Suspensions: []float64{40}})
	if err != nil {
		t.Fatal(err)
	}
	if k.Assumed || k.Failures != 2 || k.Suspensions != 1 {
		t.Errorf("%+v", k)
	}
	near(t, "slope", k.Beta.Value, want.Beta, 1e-9)
	near(t, "characteristic life", k.Eta.Value, want.Eta, 1e-9)
	if !(k.Eta.Low < k.Eta.Value && k.Eta.Value < k.Eta.High) || r.Parts[2].NextFail == nil || *r.Parts[2].NextFail < want.Next(40, 1) {
		t.Errorf("%+v, %v", k, r.Parts[2].NextFail)
	}
	// Too few failures: the bound for the slope stated, and no more than it for slopes about it.
	k = Assess(mustParts(t, running), nil).Kinds[0]
	if !k.Assumed || !k.Eta.AtLeast || k.Eta.Value > weibull.AtLeast(1.5, []float64{40}, 0, 0.9) {
		t.Errorf("%+v", k)
	}
	longer := Assess(mustParts(t, strings.Replace(running, "40", "80", 1)), nil).Kinds[0]
	near(t, "twice the age, twice the bound", longer.Eta.Value, 2*k.Eta.Value, 1e-9)
	none := Assess(mustParts(t, "[[part]]\nserial = \"new\"\nkind = \"k\"\n"), nil)
	if none.Kinds[0].Eta != nil || none.Parts[0].NextFail != nil {
		t.Errorf("a life from nothing: %+v", none.Kinds[0])
	}
}

func TestProperties(t *testing.T) {
	parts := mustParts(t, "[[part]]\nserial = \"s\"\nload = \"hub torque\"\nslope = 5\nreference_nm = 4000\ncycles = 1000\n[[part]]\nserial = \"g\"\nload = \"gearbox torque\"\ncounting = \"revolutions\"\nslope = 8.738\nreference_nm = 1000\ncycles = 1e5\n")
	rapid.Check(t, func(t *rapid.T) {
		torques := rapid.SliceOfN(rapid.Float64Range(100, 1500), 1, 5).Draw(t, "torques")
		var passes []Pass
		last := [2]float64{}
		for _, x := range torques {
			passes = append(passes, run("p", "", x))
			r := Assess(parts, passes)
			for i := range r.Parts {
				d := r.Parts[i].Damage
				if d.Value < last[i] || !(d.Low <= d.Value && d.Value <= d.High) {
					t.Fatalf("damage %+v after %g", d, last[i])
				}
				last[i] = d.Value
			}
		}
		// A worse knowledge of torque never narrows the bounds.
		wide := append([]Pass{}, passes...)
		wide[0].TorqueSD = 0.08
		a, b := Assess(parts, passes).Parts[0].Damage, Assess(parts, wide).Parts[0].Damage
		if b.High-b.Low < a.High-a.Low {
			t.Fatalf("%+v is narrower than %+v", b, a)
		}
	})
}

// Crank torque is gearbox torque and what turns the engine faster: 0.2 kg·m² at 300 rad/s² are
// 60 N·m.
func TestCrankTorque(t *testing.T) {
	sheet := &car.Sheet{Gears: []float64{2, 1}, FinalDrive: 3}
	sheet.EngineInertia.Value = 0.2
	const n, step = 40, 0.01
	f := &pass.Force{HubTorque: make([]float64, n), Gear: make([]int, n), FullThrottle: make([]bool, n), EngineSpeed: make([]float64, n)}
	for i := range n {
		f.HubTorque[i], f.Gear[i], f.EngineSpeed[i] = 3000, 1, 500+300*step*float64(i)
	}
	p := &pass.Pass{Force: f}
	p.Motion.Step = step
	got := FromPass(p, nil, sheet)
	for i := range n {
		near(t, "gearbox torque", got.Loads[car.GearboxTorque][i], 500, 1e-9)
		near(t, "crank torque", got.Loads[car.CrankTorque][i], 560, 1e-9)
	}
}
