package car

import (
	"errors"
	"testing"
)

const goodParts = `
[[part]]
serial = "TX-14"
name = "third gear pair"
installed = 2031-03-02
load = "gearbox torque"
gears = [3]
counting = "revolutions"
material = "tooth root, case-hardened"
reference_lbft = 700
cycles = 2e5
over_nm = 1000
levels_nm = [800, 600]
due_passes = 40

[[part]]
serial = "T-2"
kind = "turbo, make B"
load = "turbo speed"
over_rpm = 118000
removed = "2031-06-01"
failed = true
passes_before = 12

[[inspection]]
serial = "TX-14"
when = "2031-04-01"
found = "no cracks"
`

func TestParts(t *testing.T) {
	p, err := ParseParts("parts.toml", []byte(goodParts))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Parts) != 2 || len(p.Notes) != 0 {
		t.Fatalf("%d parts, %q", len(p.Parts), p.Notes)
	}
	a, b := p.Parts[0], p.Parts[1]
	near(t, "slope", a.Slope, 8.738, 0) // ISO 6336-6
	near(t, "reference", a.Reference, 700*1.3558179483314004, 1e-9)
	near(t, "over", a.Over, 1000, 0)
	if a.Levels[0] != 600 || !a.Revolutions || a.Kind != "third gear pair" || len(a.Inspections) != 1 || a.Installed != "2031-03-02" {
		t.Errorf("%+v", a)
	}
	near(t, "speed", b.Over, 118000*rpm, 1e-6)
	if !b.Failed || b.PassesBefore != 12 || b.Kind != "turbo, make B" {
		t.Errorf("%+v", b)
	}
	for _, r := range []struct {
		part     PartEntry
		when     string
		in, sure bool
	}{
		{a, "2031-03-01 10:00", false, true}, {a, "2031-03-02 10:00", true, true}, {a, "2031-05-01", true, true}, {a, "", true, false},
		{b, "2031-06-01 17:00", true, true}, {b, "2031-06-02", false, true},
		{PartEntry{Installed: "2031-03-02 12:00"}, "2031-03-02", true, false}, {PartEntry{}, "", true, true},
	} {
		if in, sure := r.part.Ran(r.when); in != r.in || sure != r.sure {
			t.Errorf("%q to %q at %q: %v %v, want %v %v", r.part.Installed, r.part.Removed, r.when, in, sure, r.in, r.sure)
		}
	}
}

func TestBadParts(t *testing.T) {
	for _, r := range []struct{ name, text, want string }{
		{"no serial", "[[part]]\nname = \"x\"\n", "p.toml:1: [[part]]: the part has no serial number"},
		{"twice", "[[part]]\nserial = \"a\"\n[[part]]\nserial = \"a\"\n", `p.toml:3: [[part]]: the serial number "a" is used in line 1 already`},
		{"no such part", "[[inspection]]\nserial = \"b\"\n", `p.toml:1: [[inspection]]: no [[part]] has the serial number "b"`},
		{"load", "[[part]]\nserial = \"a\"\nload = \"prayer\"\n", `p.toml:3: [[part]] load: "prayer" is not one of crank torque, gearbox torque, hub torque, engine speed, turbo speed, boost, exhaust temperature`},
		{"unit of the limit", "[[part]]\nserial = \"a\"\nload = \"turbo speed\"\nover_nm = 900\n", `p.toml:1: [[part]]: over is not in the unit of the load "turbo speed"`},
		{"reference alone", "[[part]]\nserial = \"a\"\nload = \"hub torque\"\nreference_nm = 900\n", "p.toml:1: [[part]]: a reference needs cycles, how often it is borne, and a slope or a material"},
		{"damage of a speed", "[[part]]\nserial = \"a\"\nload = \"turbo speed\"\nslope = 3\n", "p.toml:1: [[part]]: damage is counted for a torque: load must be crank torque, gearbox torque or hub torque"},
		{"removed first", "[[part]]\nserial = \"a\"\ninstalled = 2031-05-02\nremoved = 2031-05-01\n", "p.toml:1: [[part]]: it was removed before it was installed"},
		{"no date", "[[part]]\nserial = \"a\"\ninstalled = \"spring\"\n", `p.toml:1: [[part]]: installed = "spring" is not a date such as 2031-05-17`},
	} {
		_, err := ParseParts("p.toml", []byte(r.text))
		var at *Error
		if !errors.As(err, &at) || err.Error() != r.want {
			t.Errorf("%s:\n got %v\nwant %s", r.name, err, r.want)
		}
	}
	p, err := ParseParts("p.toml", []byte("[[part]]\nserial = \"a\"\nserail = 3\n"))
	if err != nil || p.StrictErr() == nil || len(p.Notes) != 1 {
		t.Errorf("a typo: %v %v", err, p)
	}
}

func FuzzParseParts(f *testing.F) {
	f.Add([]byte(goodParts))
	f.Fuzz(func(t *testing.T, data []byte) {
		if p, err := ParseParts("f.toml", data); err == nil {
			for i := range p.Parts {
				p.Parts[i].Ran("2031-05-17")
			}
		}
	})
}
