package app

import (
	"compress/gzip"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"traplight/internal/fitcar"
)

// TestHistoryPoisoned gives a report histories that must not teach: each is told, and the
// numbers are those without the part that does not belong.
func TestHistoryPoisoned(t *testing.T) {
	dir := shopFolder(t, "a01_marlin.csv", "a02_marlin.csv", "a03_marlin.csv", "a05_marlin.csv", "b01_heron.csv")
	in := func(name string) string { return filepath.Join(dir, name) }
	notes, err := os.ReadFile(in("passes.toml"))
	if err != nil {
		t.Fatal(err)
	}
	bare := regexp.MustCompile(`(?m)^(slip_|car ).*\n`).ReplaceAllString(string(notes), "")
	wrong := strings.Replace(bare, "id = \"a01\"\n", "id = \"a01\"\nslip_60ft_s = 2.237\nslip_quarter_s = 12.600\nslip_half_s = 18.168\nslip_trap_mph = 184.43\n", 1)
	for name, text := range map[string]string{"bare.toml": bare, "wrong.toml": wrong} {
		if err := os.WriteFile(in(name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	copied, err := os.ReadFile(in("a02_marlin.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("copy.csv"), copied, 0o600); err != nil {
		t.Fatal(err)
	}
	packed, err := os.Create(in("packed.csv.gz"))
	if err != nil {
		t.Fatal(err)
	}
	z := gzip.NewWriter(packed)
	z.Write(copied)
	if err := errors.Join(z.Close(), packed.Close()); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(in("junk.csv"), []byte("nothing\nof\nuse\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	report := func(notes string, history ...string) (trap, torque float64, told []string) {
		t.Helper()
		q := ReportRequest{Logs: []string{in("a05_marlin.csv")}, Cars: []string{in("car_marlin.toml")}, Notes: in(notes), Without: []string{"ledger"}}
		for _, h := range history {
			q.History = append(q.History, in(h))
		}
		r, err := Report(t.Context(), q)
		if err != nil {
			t.Fatal(err)
		}
		for _, n := range r.Notes {
			if strings.Contains(n, "history") {
				told = append(told, n)
			}
		}
		return *r.Passes[0].Trap.SpeedMps, *r.Passes[0].Gears[4].MeanHubTorque, told
	}
	good := []string{"a01_marlin.csv", "a02_marlin.csv", "a03_marlin.csv"}
	trap, torque, told := report("bare.toml", good...)
	if len(told) > 0 {
		t.Errorf("a clean history: %q", told)
	}
	for _, c := range []struct {
		notes string
		more  string
		want  string
	}{
		{"bare.toml", "a05_marlin.csv", "left out of the history: a05_marlin.csv, the log itself"},
		{"bare.toml", "packed.csv.gz", "left out of the history: packed.csv.gz, which holds the same passes as a02_marlin.csv"},
		{"bare.toml", "copy.csv", "left out of the history: copy.csv, byte for byte the same as a02_marlin.csv"},
		{"bare.toml", "b01_heron.csv", "left out of the history: b01_heron.csv, pass 1: engine and road speed fit the gears of Marlin"},
		{"passes.toml", "b01_heron.csv", `left out of the history: b01_heron.csv: passes.toml line`},
		{"bare.toml", "junk.csv", "left out of the history: junk.csv"},
		{"wrong.toml", "", "history, a01_marlin.csv pass 1: most of the timing slip disagrees with the log: none of it is used"},
	} {
		history := slices.Clone(good)
		if c.more != "" {
			history = append(history, c.more)
		}
		gotTrap, gotTorque, told := report(c.notes, history...)
		if !slices.ContainsFunc(told, func(n string) bool { return strings.HasPrefix(n, c.want) }) {
			t.Errorf("%s %s: told %q, want %q", c.notes, c.more, told, c.want)
		}
		if c.notes != "passes.toml" && (gotTrap != trap || gotTorque != torque) {
			t.Errorf("%s %s: trap %v, torque %v; without it %v, %v", c.notes, c.more, gotTrap, gotTorque, trap, torque)
		}
	}
	if _, err := Report(t.Context(), ReportRequest{Logs: []string{in("a05_marlin.csv")}, Cars: []string{in("car_marlin.toml")}, History: []string{in("absent.csv")}}); err == nil {
		t.Error("a history that is not there is a slip of the pen and stops the report")
	}
}

// Logs from which nothing can be learnt are named with the reason, each, where nothing else is left.
func TestHistoryOfNothing(t *testing.T) {
	dir := shopFolder(t, "a03_marlin.csv")
	in := func(name string) string { return filepath.Join(dir, name) }
	whole, err := os.ReadFile(in("a03_marlin.csv"))
	if err != nil {
		t.Fatal(err)
	}
	rows := strings.SplitAfter(string(whole), "\n")
	for name, n := range map[string]int{"short.csv": 300, "shorter.csv": 200} {
		if err := os.WriteFile(in(name), []byte(strings.Join(rows[:n], "")), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	q := ForecastRequest{Cars: []string{in("car_marlin.toml")}, History: []string{in("short.csv"), in("shorter.csv")}}
	_, err = FitHistory(t.Context(), q, "")
	if !errors.Is(err, fitcar.ErrNothing) || !strings.Contains(err.Error(), "short.csv: ") || !strings.Contains(err.Error(), "shorter.csv: ") || strings.Count(err.Error(), "shorter than any pass") != 2 {
		t.Errorf("%v", err)
	}
}
