package car

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

const notesText = `# a day
[[strip]]
name = "North"
length_m = 804.672

[[pass]]
id = "a01"   # first of the day
file = "a01.csv"
car = "Marlin"
when = 2031-05-17 10:21:00
boost_target_kpa_by_gear = [55, 95.5]
text = "said \"go\""

[[pass]]
file = "a02.csv"
index = 1
nitrous = true

[[planned]]
id = "a03"
after = "a01"
boost_add_kpa_by_gear = [0, -20]
`

func TestSplitNotes(t *testing.T) {
	parts, err := SplitNotes("n.toml", []byte(notesText))
	if err != nil {
		t.Fatal(err)
	}
	var heads []string
	var again strings.Builder
	for _, p := range parts {
		heads = append(heads, strings.Join([]string{p.Table, p.ID, p.File, p.Car, p.When}, "|"))
		again.WriteString("[[" + p.Table + "]]\n" + p.Body + "\n")
	}
	want := []string{"strip|North|||", "pass|a01|a01.csv|Marlin|2031-05-17T10:21:00", "pass||a02.csv||", "planned|a03|||"}
	if !reflect.DeepEqual(heads, want) || parts[2].Index != 1 {
		t.Errorf("parts %q", heads)
	}
	// Put together again, the notes mean the same.
	was, err := ParseNotes("n.toml", []byte(notesText))
	if err != nil {
		t.Fatal(err)
	}
	is, err := ParseNotes("n.toml", []byte(again.String()))
	if err != nil {
		t.Fatal(err)
	}
	noLines := cmp.FilterPath(func(p cmp.Path) bool { return p.Last().String() == ".Line" }, cmp.Ignore())
	if d := cmp.Diff(was, is, noLines, cmpopts.EquateNaNs(), cmpopts.IgnoreUnexported(Notes{}, PassNote{}, Planned{}, Strip{}, Event{}, Slip{}, Weather{})); d != "" {
		t.Errorf("put together again:\n%s\n%s", again.String(), d)
	}
	// And cut once more, they are the same text.
	more, err := SplitNotes("n.toml", []byte(again.String()))
	if err != nil || !reflect.DeepEqual(parts, more) {
		t.Errorf("cut again: %+v, %v", more, err)
	}
	if _, err := SplitNotes("n.toml", []byte("[[pass]]\nboost_target_kpa_by_gear = \"much\"\n")); err == nil || !strings.Contains(err.Error(), "n.toml:2") {
		t.Errorf("bad notes: %v", err)
	}
}

func TestIsNotes(t *testing.T) {
	for text, want := range map[string]bool{
		notesText: true, "[event]\nid = \"x\"\n": true, "name = \"Marlin\"\n[body]\nmass_kg = 1243\n": false, "": false,
	} {
		if got, err := IsNotes("x.toml", []byte(text)); err != nil || got != want {
			t.Errorf("%.20q: %v, %v", text, got, err)
		}
	}
}

func TestIsParts(t *testing.T) {
	for text, want := range map[string]bool{
		"[[part]]\nserial = \"C-1\"\n": true, "[inspection]\nserial = \"C-1\"\n": true, notesText: false, "name = \"Marlin\"\n": false, "part = 3\n": false,
	} {
		if got, err := IsParts("x.toml", []byte(text)); err != nil || got != want {
			t.Errorf("%.20q: %v, %v", text, got, err)
		}
	}
}

func TestWithKnown(t *testing.T) {
	for _, c := range []struct {
		name, text, from string
		channels         map[string]string
		want             string
	}{
		{"nothing known", "name = \"M\"\n[body]\nmass_kg = 1300\n", "", nil, "name = \"M\"\n[body]\nmass_kg = 1300\n"},
		{"date instead of a comment", "# my car\nname = \"M\"\n", "2031-05-17", nil, "valid_from = '2031-05-17'\nname = \"M\"\n"},
		{"date before all", "name = \"M\"\n", "2031-05-17", nil, "valid_from = '2031-05-17'\nname = \"M\"\n"},
		{"date instead of its own", "name = \"M\"\nvalid_from = \"2030-01-01\"\n", "2031-05-17", nil, "name = \"M\"\nvalid_from = '2031-05-17'\n"},
		{"the same date", "name = \"M\"\nvalid_from = 2031-05-17\n", "2031-05-17", nil, "name = \"M\"\nvalid_from = 2031-05-17\n"},
		{"new table", "name = \"M\"", "", map[string]string{"P 1": "fuel_pressure kPa"}, "name = \"M\"\n[channels]\n'P 1' = 'fuel_pressure kPa'\n"},
		{"into the table", "[channels]\n\"P 1\" = \"oil_pressure\" # guess\nP2 = \"lambda\"\n[body]\nmass_kg = 1300\n", "", map[string]string{"P 1": "fuel_pressure", "P3": "gear"},
			"[channels]\nP3 = 'gear'\n'P 1' = 'fuel_pressure'\nP2 = \"lambda\"\n[body]\nmass_kg = 1300\n"},
	} {
		got, err := WithKnown("m.toml", []byte(c.text), c.from, c.channels)
		if err != nil || string(got) != c.want {
			t.Errorf("%s: %q, want %q (%v)", c.name, got, c.want, err)
			continue
		}
		s, err := ParseSheet("m.toml", got)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if c.from != "" && s.ValidFrom != c.from {
			t.Errorf("%s: valid from %q", c.name, s.ValidFrom)
		}
		for k, v := range c.channels {
			if s.Channels[k] != v {
				t.Errorf("%s: channel %q is %q", c.name, k, s.Channels[k])
			}
		}
	}
	if _, err := WithKnown("m.toml", []byte("channels = {P1 = \"gear\"}\n"), "", map[string]string{"P1": "lambda"}); err == nil || !strings.Contains(err.Error(), "m.toml:1") {
		t.Errorf("inline: %v", err)
	}
	utf16 := []byte("\xff\xfen\x00a\x00m\x00e\x00=\x00'\x00M\x00'\x00\n\x00")
	if got, err := WithKnown("m.toml", utf16, "2031-05-17", nil); err != nil || string(got) != "valid_from = '2031-05-17'\nname='M'\n" {
		t.Errorf("UTF-16: %q, %v", got, err)
	}
}
