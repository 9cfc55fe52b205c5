package car

import (
	"errors"
	"slices"
	"strings"
	"testing"
)

// What cannot be is left out of a sheet as if it were not stated, told with its line, and
// refused by what sets the next pass; the rest stands.
func TestUsableSheet(t *testing.T) {
	text := `name = "A"
valid_from = "soon"
[body]
mass_kg = 1300
front_weight_share = 51
[driveline]
gears = [2.8, 1.9, 2.1]
final_drive = "3.9"
[engine]
fuel_pumps_total_flow_l_h = [300, 400]
fuel_pumps_rated_at_bar = [3, 6]
usual_shift_rpm = [7000, 7000]
[limits]
max_injector_duty = 90
[target]
trap_mph = 170
`
	s, err := ParseUsableSheet("a.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	var lines []int
	for _, e := range s.Wrong {
		lines = append(lines, e.Line)
	}
	if want := []int{2, 5, 7, 8, 11, 14}; !slices.Equal(lines, want) {
		t.Errorf("wrong in lines %v, want %v", lines, want)
	}
	if s.ValidFrom != "" || s.Gears != nil || s.FinalDrive != 0 || s.FuelPumpFlow != nil || s.Limits.MaxInjectorDuty != 0 || s.FrontWeightShare.Value > 1 {
		t.Errorf("what cannot be was taken: %+v", s)
	}
	if s.Mass.Value != 1300 || s.Target == 0 || len(s.UsualShiftSpeed) != 2 {
		t.Errorf("what can be was not: %+v", s)
	}
	if want := "a.toml line 5: [body] front_weight_share: 51 is not possible; it must lie from 0.05 to 0.95; 51 % is written 0.51. This was left out."; s.Notes[1] != want || !NotTaken(s.Notes[1]) {
		t.Errorf("told %q", s.Notes)
	}
	_, strict := ParseSheet("a.toml", []byte(text))
	for _, err := range []error{strict, s.StrictErr()} {
		if n := strings.Count(err.Error(), "\n") + 1; n != len(lines) || !errors.Is(err, ErrType) || !errors.Is(err, ErrImpossible) {
			t.Errorf("%d of %d complaints: %v", n, len(lines), err)
		}
	}
	if Describe(s, true) == "" {
		t.Error("nothing to show")
	}
}

func TestUsableNotes(t *testing.T) {
	text := `[[strip]]
id = "s"
length_m = 100
trap_window_m = 200
[[pass]]
file = "a.csv"
strip = "s"
air_temp_f = 580
humidity_pct = 50
slip_60ft_s = 2.1
slip_eighth_s = 82.8
slip_half_s = 19.3
slip_trap_mph = 150
[[pass]]
file = "a.csv"
humidity_pct = 90
[[planned]]
id = "q"
after = "a.csv"
boost_add_kpa_by_gear = [5]
boost_target_kpa_by_gear = [50]
[[planned]]
id = "q"
after = "a.csv"
shift_rpm_add = 100
`
	n, err := ParseUsableNotes("n.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if len(n.Wrong) != 6 || len(n.Passes) != 1 || len(n.Planned) != 1 {
		t.Fatalf("%d complaints, %d passes, %d plans: %q", len(n.Wrong), len(n.Passes), len(n.Planned), n.Notes)
	}
	p := n.For("a.csv", 0)
	if have(p.Weather.AirTemp) || p.Weather.Humidity != 0.5 || len(p.Slip.Marks) != 0 || !have(p.Slip.Trap) {
		t.Errorf("%+v", p)
	}
	if s := n.StripFor(p); s.TrapWindow >= s.Length {
		t.Errorf("%+v", s)
	}
	if q := n.PlannedByID("q"); q.BoostAdd != nil || q.BoostTarget != nil || q.ShiftAdd != 0 {
		t.Errorf("%+v", q)
	}
	if _, err := ParseNotes("n.toml", []byte(text)); !errors.Is(err, ErrImpossible) || strings.Count(err.Error(), "\n") != 5 {
		t.Errorf("strictly read: %v", err)
	}
}

// A file full of what cannot be does not fill the screen.
func TestManyComplaintsAreCounted(t *testing.T) {
	text := strings.Repeat("[[pass]]\nid = \"x\"\nair_temp_c = 900\n", 40)
	n, err := ParseUsableNotes("n.toml", []byte(text))
	if err != nil || len(n.Wrong) != 40 || len(n.Notes) != maxWrong+1 || !NotTaken(n.Notes[maxWrong]) {
		t.Errorf("%v, %d, %q", err, len(n.Wrong), n.Notes)
	}
	if _, err := ParseNotes("n.toml", []byte(text)); !strings.HasSuffix(err.Error(), "and 28 more") {
		t.Error(err)
	}
}
