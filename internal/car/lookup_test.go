package car

import (
	"math"
	"testing"
)

func TestLookup(t *testing.T) {
	n := mustNotes(t, `
[[pass]]
id = "first"
file = "saturday/log1.csv"
[[pass]]
id = "second"
file = 'sunday\log1.csv'
[[pass]]
id = "third"
file = "log2.csv"
[[pass]]
id = "fourth"
file = "log2.csv"
index = 1
`)
	for _, r := range []struct {
		file  string
		index int
		want  string
	}{
		{"/data/sunday/log1.csv", 0, "second"}, {`C:\data\Saturday\LOG1.CSV`, 0, "first"}, {"log1.csv", 0, "first"},
		{"log2.parquet", 1, "fourth"}, {"log2.csv.gz", 1, "fourth"}, {"Log2.csv.zip", 0, "third"}, {"log2.zip", 0, "third"}, {"log2.csv", 2, ""}, {"", 0, ""}, {"log3.csv", 0, ""},
	} {
		got := ""
		if p := n.For(r.file, r.index); p != nil {
			got = p.ID
		}
		if got != r.want {
			t.Errorf("%s, %d: %q, want %q", r.file, r.index, got, r.want)
		}
	}
	if all := n.OfLog("log2.csv.gz"); len(all) != 2 || all[0].ID != "third" || all[1].ID != "fourth" {
		t.Errorf("notes of log2: %v", all)
	}
	for _, r := range []struct {
		after string
		index int
		want  string
	}{{"log2.csv", -1, "fourth"}, {"log2.csv.gz", -1, "fourth"}, {"log2", 0, "third"}, {"third", -1, "third"}, {"x", -1, ""}} {
		got := ""
		if p := n.After(&Planned{After: r.after, AfterIndex: r.index}); p != nil {
			got = p.ID
		}
		if got != r.want {
			t.Errorf("after %s, %d: %q, want %q", r.after, r.index, got, r.want)
		}
	}
	var none *Notes
	if none.For("a", 0) != nil || none.PlannedByID("a") != nil || none.ByID("a") != nil || none.After(&Planned{After: "a"}) != nil || none.EventFor(nil) != nil {
		t.Error("no notes, but an answer")
	}
	if s := none.StripFor(nil); s.Length != 804.672 || s.Rollout != 0.3048 || !math.IsNaN(s.Elevation) {
		t.Errorf("default strip: %+v", s)
	}
}

func TestStripLookup(t *testing.T) {
	n := mustNotes(t, `
[[strip]]
id = "north"
length_mile = 0.25
[[strip]]
id = "lake"
[[event]]
id = "spring"
strip = "lake"
`)
	for _, r := range []struct {
		p     PassNote
		want  string
		known bool
	}{
		{PassNote{Strip: "North"}, "north", true}, {PassNote{Event: "spring"}, "lake", true}, {PassNote{Event: "north"}, "north", true},
		{PassNote{Event: "spring", Strip: "north"}, "north", true}, {PassNote{}, "", false}, {PassNote{Strip: "south"}, "", false},
	} {
		s, known := n.FindStrip(&r.p)
		if s.ID != r.want || known != r.known {
			t.Errorf("%+v: %q, %v", r.p, s.ID, known)
		}
	}
	near(t, "quarter mile", n.Strips[0].Length, 402.336, 1e-9)
}

func TestSheetsOf(t *testing.T) {
	marlin := mustSheet(t, "name = \"Marlin\"\n")
	later := mustSheet(t, "name = \"Marlin (spring)\"\n")
	heron := mustSheet(t, "name = \"Heron\"\n")
	nameless := mustSheet(t, "[body]\nmass_kg = 1300\n")
	byFile := mustSheet(t, "name = \"the grey one\"\n")
	byFile.File = "car_marlin_v2.toml"
	n := mustNotes(t, "[[pass]]\nfile = \"a.csv\"\nindex = 1\ncar = \"marlin\"\n[[pass]]\nfile = \"b.csv\"\n")
	for _, r := range []struct {
		name   string
		notes  *Notes
		sheets []*Sheet
		file   string
		want   []*Sheet // nil: refused
	}{
		{"no notes", nil, []*Sheet{heron}, "a.csv", []*Sheet{heron}},
		{"the notes name no car", n, []*Sheet{heron}, "b.csv", []*Sheet{heron}},
		{"revisions of one car among others", n, []*Sheet{marlin, heron, later}, "x/a.csv", []*Sheet{marlin, later}},
		{"by the file's name", n, []*Sheet{heron, byFile}, "a.csv", []*Sheet{byFile}},
		{"a sheet without a name may be anyone's", n, []*Sheet{nameless, heron}, "a.csv", []*Sheet{nameless}},
		{"another car's log", n, []*Sheet{heron}, "x/A.csv", nil},
	} {
		got, err := r.notes.SheetsOf(r.sheets, r.file)
		if (err != nil) != (r.want == nil) || len(got) != len(r.want) {
			t.Errorf("%s: %d sheets, %v", r.name, len(got), err)
			continue
		}
		for i := range got {
			if got[i] != r.want[i] {
				t.Errorf("%s: sheet %d is %q", r.name, i, got[i].Name)
			}
		}
	}
	_, err := n.SheetsOf([]*Sheet{heron}, "x/A.csv")
	if want := `A.csv: n.toml line 1 says that it is a log of car "marlin", but the sheet given is car_test.toml of "Heron"; give that car's sheet, or correct the name`; err.Error() != want {
		t.Errorf("%v", err)
	}
}

func TestFitAllKeepsListsOfNobodysCar(t *testing.T) {
	five := mustSheet(t, "name=\"Plover\"\n[driveline]\ngears=[3,2,1.5,1.2,1]\n")
	three := mustSheet(t, "name=\"Dunlin\"\n[driveline]\ngears=[3,2,1.5]\n")
	text := "[[pass]]\nfile=\"a.csv\"\nboost_target_kpa_by_gear=[1,2,3,4,5]\n[[pass]]\nfile=\"b.csv\"\ncar=\"dunlin\"\nboost_target_kpa_by_gear=[7]\n"
	n := mustNotes(t, text)
	if notes := n.FitAll([]*Sheet{five, three}); len(notes) > 0 || len(n.Passes[0].BoostTarget) != 5 || len(n.Passes[1].BoostTarget) != 3 {
		t.Errorf("%q %v %v", notes, n.Passes[0].BoostTarget, n.Passes[1].BoostTarget)
	}
	n = mustNotes(t, text)
	if notes := n.FitAll([]*Sheet{three}); len(notes) != 1 || len(n.Passes[0].BoostTarget) != 3 {
		t.Errorf("%q %v", notes, n.Passes[0].BoostTarget)
	}
}

func TestPlace(t *testing.T) {
	n := mustNotes(t, `
[[strip]]
id = "north"
name = "North Field"
[[strip]]
id = "bare"
[[event]]
id = "june"
name = "June days"
strip = "north"
[[event]]
id = "july"
strip = "north"
`)
	for _, r := range []struct{ event, strip, want string }{
		{"june", "", "June days"}, {"july", "", "North Field"}, {"north", "", "North Field"}, {"", "north", "North Field"},
		{"bare", "", "bare"}, {"elsewhere", "", "elsewhere"}, {"", "", ""},
	} {
		if got := n.Place(r.event, r.strip); got != r.want {
			t.Errorf("event %q, strip %q: %q, want %q", r.event, r.strip, got, r.want)
		}
	}
	if got := (*Notes)(nil).Place("north", ""); got != "north" {
		t.Errorf("no notes: %q", got)
	}
}
