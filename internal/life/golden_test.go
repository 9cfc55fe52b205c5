package life

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

var update = flag.Bool("update", false, "rewrite the golden texts")

func TestGolden(t *testing.T) {
	parts, err := car.LoadParts("testdata/parts.toml")
	if err != nil {
		t.Fatal(err)
	}
	hard := run("p3.csv", "2031-05-19 11:00", 900)
	passes := []Pass{run("p1.csv", "2031-05-17 10:00", 800), run("p2.csv", "2031-05-18 10:00", 820), hard, {Name: "p4.csv", When: "2031-05-19 12:00", NoLog: true}}
	r := Assess(parts, passes)
	for name, w := range map[string]quantity.World{"parts.us.txt": quantity.Imperial, "parts.metric.txt": quantity.Metric} {
		var b bytes.Buffer
		if err := r.WriteText(&b, w); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.Bytes())
		if bytes.Contains(b.Bytes(), []byte("NaN")) || bytes.Contains(b.Bytes(), []byte("Inf")) {
			t.Errorf("%s: a number that is none", name)
		}
	}
	b, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "parts.json", append(b, '\n'))
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s has changed; read the difference and rewrite it with -update", path)
	}
}

func BenchmarkAssess(b *testing.B) {
	parts := mustParts(b, "[[part]]\nserial = \"s\"\nload = \"hub torque\"\nslope = 5\n")
	passes := []Pass{run("a", "", 800), run("b", "", 900)}
	for b.Loop() {
		Assess(parts, passes)
	}
}
