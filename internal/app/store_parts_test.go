package app

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestPartsAdded holds that a parts file is kept for its car, and makes no car of its own.
func TestPartsAdded(t *testing.T) {
	dir, s := shopFolder(t), openShop(t)
	write := func(name, text string) string {
		t.Helper()
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	expect := func(q AddRequest, want string) {
		t.Helper()
		lines := s.add(t, q)
		for _, l := range lines {
			if strings.Contains(l, want) {
				return
			}
		}
		t.Errorf("%v: %q, want %q", q.Paths, lines, want)
	}
	parts := write("parts.toml", PartsToFillIn)
	expect(AddRequest{Paths: []string{parts}}, "no car sheet yet")
	// Given before the sheet, they still find the car that the sheet brings.
	expect(AddRequest{Paths: []string{parts, in("car_marlin.toml")}}, "parts parts.toml: the parts of Marlin")
	if got := s.PartsText(t.Context(), "marlin"); got != PartsToFillIn {
		t.Errorf("kept: %q", got)
	}
	expect(AddRequest{Paths: []string{parts}}, "(known)")
	// Two sheets leave it open, one beside the file does not, and what the file says goes first.
	expect(AddRequest{Paths: []string{in("car_heron.toml"), in("car_marlin.toml"), write("more.toml", "[[part]]\nserial = \"X\"\n")}}, "whose this is")
	expect(AddRequest{Paths: []string{in("car_heron.toml"), write("ours.toml", "[[part]]\nserial = \"Y\"\ncar = \"marlin\"\n")}}, "the parts of Marlin")
	expect(AddRequest{Paths: []string{in("car_heron.toml"), in("more.toml")}}, "the parts of Heron")
	expect(AddRequest{Paths: []string{in("more.toml")}, Car: "heron"}, "the parts of Heron")
	expect(AddRequest{Paths: []string{write("other.toml", "[[part]]\nserial = \"Y\"\ncar = \"marlin\"\n")}}, "the parts of Marlin")
	expect(AddRequest{Paths: []string{write("typo.toml", "[[part]]\nserial = \"Y\"\ndue_pases = 3\n")}, Car: "heron"}, "due_passes")
	// A folder's copy replaces nothing.
	folder := filepath.Join(dir, "old")
	if err := os.Mkdir(folder, 0o700); err != nil {
		t.Fatal(err)
	}
	write(filepath.Join("old", "parts.toml"), PartsToFillIn)
	expect(AddRequest{Paths: []string{folder}, Car: "heron"}, "other parts of Heron are kept already")
	if got := s.PartsText(t.Context(), "Heron"); got != "[[part]]\nserial = \"X\"\n" {
		t.Errorf("kept of Heron: %q", got)
	}
	expect(AddRequest{Paths: []string{write("strange.toml", "[project]\nname = \"x\"\n")}}, "holds nothing that a car sheet does")
	cars, err := s.Cars(t.Context())
	if err != nil || len(cars) != 2 {
		t.Errorf("cars %+v, %v", cars, err)
	}
}

// TestKnownStopped holds that a request that is given up while the store is read ends with
// an error and leaves no folder behind.
func TestKnownStopped(t *testing.T) {
	s := openShop(t)
	t.Setenv("TMPDIR", t.TempDir())
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if k, err := s.known(ctx); err == nil || k != nil {
		t.Errorf("%v, %v", k, err)
	}
	if left, err := os.ReadDir(os.Getenv("TMPDIR")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v, %v", left, err)
	}
}
