package app

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"

	"traplight/internal/report"
)

// TestSchemaHolds validates the report of every open log, as it is printed, against
// docs/report.schema.json.
func TestSchemaHolds(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "docs", "report.schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	schema := new(jsonschema.Schema)
	if err := json.Unmarshal(text, schema); err != nil {
		t.Fatal(err)
	}
	rules, err := schema.Resolve(nil)
	if err != nil {
		t.Fatal(err)
	}
	data := filepath.Join("..", "..", "bench", "accuracy", "testdata")
	logs, err := filepath.Glob(filepath.Join(data, "*.csv.gz"))
	if err != nil || len(logs) < 10 {
		t.Fatalf("%d logs, %v", len(logs), err)
	}
	for _, packed := range logs {
		name := strings.TrimSuffix(filepath.Base(packed), ".gz")
		_, car, _ := strings.Cut(strings.TrimSuffix(name, ".csv"), "_")
		car, _, _ = strings.Cut(car, "_")
		path := filepath.Join(t.TempDir(), name)
		unpackTo(t, packed, path)
		q := ReportRequest{Logs: []string{path}, Cars: []string{filepath.Join(data, "car_"+car+".toml")}, Notes: filepath.Join(data, "passes.toml"), Without: []string{"ledger"}}
		r, err := Report(t.Context(), q)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		var out bytes.Buffer
		if err := report.WriteJSON(&out, r); err != nil {
			t.Fatal(err)
		}
		var value any
		if err := json.Unmarshal(out.Bytes(), &value); err != nil {
			t.Fatal(err)
		}
		if err := rules.Validate(value); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if name[0] != 'b' {
			continue
		}
		// The rules are no empty ones.
		p := value.(map[string]any)["passes"].([]any)[0].(map[string]any)
		p["launch_s"] = "soon"
		if rules.Validate(value) == nil {
			t.Errorf("%s: a word for a time passes", name)
		}
	}
}

func unpackTo(t *testing.T, packed, path string) {
	t.Helper()
	in, err := os.Open(packed)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	z, err := gzip.NewReader(in)
	if err != nil {
		t.Fatal(err)
	}
	data, err := io.ReadAll(z)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, data, 0o600); err != nil {
		t.Fatal(err)
	}
}
