package app

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/car"
)

// The map that a sheet names is read beside that sheet; where it is missing or no map the plan
// goes on, with one sentence that says so.
func TestSheetMap(t *testing.T) {
	dir := t.TempDir()
	text, err := os.ReadFile(filepath.Join("..", "sizing", "testdata", "map.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for name, b := range map[string][]byte{"map.csv": text, "none.csv": []byte("a,b\n1,2\n")} {
		if err := os.WriteFile(filepath.Join(dir, name), b, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	sheets := []string{"elsewhere/other.toml", filepath.Join(dir, "car.toml")}
	for _, c := range []struct{ name, says string }{{"", ""}, {"map.csv", ""}, {"gone.csv", "beside the car sheet"}, {"none.csv", "not used"}} {
		m, why := sheetMap(&car.Sheet{File: "car.toml", CompressorMap: c.name}, sheets)
		if (m != nil) != (c.name == "map.csv") || (c.says == "") != (why == "") || !strings.Contains(why, c.says) {
			t.Errorf("%q: %v, %q", c.name, m != nil, why)
		}
	}
}
