package car

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

func BenchmarkParseSheet(b *testing.B) {
	data, err := os.ReadFile("testdata/sheet_metric.good.toml")
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := ParseSheet("s.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}

// A season of notes: 400 passes.
func BenchmarkParseNotes(b *testing.B) {
	var text strings.Builder
	for i := range 400 {
		fmt.Fprintf(&text, "[[pass]]\nid = \"p%d\"\nfile = \"p%d.csv\"\nair_temp_c = 20\nstation_pressure_hpa = 1010\nhumidity_pct = 50\nheadwind_mps = 1\nboost_target_kpa_by_gear = [100, 150, 200, 200]\nslip_quarter_s = 10.1\nslip_half_s = 15.2\nslip_trap_mph = 190\n", i, i)
	}
	data := []byte(text.String())
	for b.Loop() {
		if _, err := ParseNotes("n.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}

// A file that is none of ours, full of keys nobody knows.
func BenchmarkUnknownKeys(b *testing.B) {
	var text strings.Builder
	text.WriteString("[engine]\n")
	for i := range 4900 {
		fmt.Fprintf(&text, "some_other_programs_key_%d = %d\n", i, i)
	}
	data := []byte(text.String())
	for b.Loop() {
		if _, err := ParseSheet("s.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}
