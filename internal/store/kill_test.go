//go:build unix

package store_test

import (
	"bufio"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"traplight/internal/atomicfile"
	"traplight/internal/atomicfile/faulttest"
	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// kills is how often TestKilled kills. The full run is
//
//	go test ./internal/store -run Killed -kills 200 -v
var kills = flag.Int("kills", 12, "how often to kill a program that is adding logs")

const childEnv = "STORE_TEST_CHILD"

// TestMain also serves as the program that is killed.
func TestMain(m *testing.M) {
	if what := os.Getenv(childEnv); what != "" {
		os.Exit(child(what, os.Args[1:]))
	}
	os.Exit(m.Run())
}

// child adds every log of a folder to a store, a line on standard output for
// each that is in. "kill N" ends the process by a signal before the Nth call
// that writes a file; the other words are explained where they are used.
func child(what string, args []string) int {
	dir, logs := args[0], args[1]
	ctx := context.Background()
	var n int
	if k, err := fmt.Sscanf(what, "kill %d", &n); k == 1 && err == nil {
		atomicfile.OS, _ = faulttest.Wrap(atomicfile.Plain(), func(i int, _ string) error {
			if i == n {
				syscall.Kill(os.Getpid(), syscall.SIGKILL)
				select {}
			}
			return nil
		})
	}
	if k, err := fmt.Sscanf(what, "limit %d", &n); k == 1 && err == nil {
		if err := limitFiles(uint64(n)); err != nil {
			fmt.Println("error", err)
			return 2
		}
	}
	if what == "nobody" {
		if err := syscall.Setuid(65534); err != nil {
			fmt.Println("error", err)
			return 2
		}
	}
	s, err := store.Open(ctx, store.Options{Dir: dir, Create: true, Program: "test"})
	if err != nil {
		fmt.Println("error", err)
		return 1
	}
	files, _ := filepath.Glob(filepath.Join(logs, "*.csv"))
	fmt.Println("opened")
	failed := 0
	s.AddAll(ctx, files, storetest.Toy, func(p store.Progress) {
		if p.Err != nil {
			failed = 1
			fmt.Println("error", p.Err)
			return
		}
		fmt.Println("in", p.Addition.SHA256)
	})
	if err := s.Close(); err != nil {
		fmt.Println("error", err)
		return 1
	}
	return failed
}

// run starts the child and gives the lines it wrote. With after > 0 it is
// killed that long after it opened the store.
func run(t *testing.T, what, dir, logs string, after time.Duration) (lines []string, killed bool) {
	t.Helper()
	cmd := exec.Command(os.Args[0], dir, logs)
	cmd.Env = append(os.Environ(), childEnv+"="+what)
	cmd.Stderr = os.Stderr
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	for in := bufio.NewScanner(out); in.Scan(); {
		lines = append(lines, in.Text())
		if in.Text() == "opened" && after > 0 {
			time.AfterFunc(after, func() { cmd.Process.Kill() })
		}
	}
	err = cmd.Wait()
	return lines, err != nil && cmd.ProcessState.ExitCode() == -1
}

// makeLogs writes n toy logs of very different sizes, and tells their sums.
func makeLogs(t testing.TB, n int) (folder string, sums map[string]bool) {
	t.Helper()
	folder, sums = t.TempDir(), map[string]bool{}
	for i := range n {
		path := filepath.Join(folder, fmt.Sprintf("%02d.csv", i))
		text := storetest.ToyLog("Finch", 1+i*i*600, fmt.Sprintf("2031-05-%02dT10:21 12.5 80", i+1), fmt.Sprintf("2031-05-%02dT10:40 1200 81", i+1))
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		sum, err := store.SumFile(path)
		if err != nil {
			t.Fatal(err)
		}
		sums[sum.SHA256] = true
	}
	return folder, sums
}

// newDir makes a data folder whose store knows the car of the toy logs. It is
// a copy of one made before: making it anew each time would take most of the
// tests' time.
func newDir(t testing.TB) string {
	t.Helper()
	template.once.Do(func() {
		dir, err := os.MkdirTemp("", "store-template")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		s, err := store.Open(t.Context(), store.Options{Dir: dir, Create: true})
		if err != nil {
			t.Fatal(err)
		}
		storetest.AddCar(t, s, "Finch")
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if template.db, err = os.ReadFile(filepath.Join(dir, "traplight.db")); err != nil {
			t.Fatal(err)
		}
	})
	dir := t.TempDir()
	if err := errors.Join(os.Mkdir(filepath.Join(dir, "originals"), 0o700), os.WriteFile(filepath.Join(dir, "traplight.db"), template.db, 0o600)); err != nil {
		t.Fatal(err)
	}
	return dir
}

var template struct {
	once sync.Once
	db   []byte
}

// checkBetween holds a store that a killed or failed program left against "as
// before or as after, never between": each log is in with its bytes, report
// and both passes, or not at all, and what the program told as in is in. It
// returns the number of logs that are in.
func checkBetween(t *testing.T, dir string, lines []string, all map[string]bool) int {
	t.Helper()
	s, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	logs, err := s.Logs(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	in := map[string]bool{}
	for _, l := range logs {
		in[l.SHA256] = true
		if !all[l.SHA256] {
			t.Errorf("the store has a log that nobody added: %s", l.File)
		}
		passes, err := s.Passes(t.Context(), store.Filter{Logs: []string{l.SHA256}})
		if err != nil || len(passes) != 2 {
			t.Errorf("%s has %d of 2 passes, %v", l.File, len(passes), err)
		}
		if _, err := s.Result(t.Context(), l.SHA256); err != nil {
			t.Errorf("%s: %v", l.File, err)
		}
	}
	for _, line := range lines {
		if sum, ok := strings.CutPrefix(line, "in "); ok && !in[sum] {
			t.Errorf("log %.12s was told as in and is lost", sum)
		}
	}
	// The next change, whatever it is, clears up what was left.
	if err := s.Correct(t.Context(), "Finch", "x", "y"); err != nil {
		t.Fatal(err)
	}
	storetest.Sound(t, s)
	entries, err := os.ReadDir(filepath.Join(dir, "originals"))
	if err != nil || len(entries) != len(in) {
		t.Errorf("%d files in originals for %d logs, %v", len(entries), len(in), err)
	}
	return len(in)
}

// TestKilled kills the program at random moments while it adds logs.
func TestKilled(t *testing.T) {
	t.Parallel()
	folder, sums := makeLogs(t, 8)
	// One undisturbed run tells how long there is to kill.
	dir := newDir(t)
	began := time.Now()
	lines, _ := run(t, "add", dir, folder, 0)
	span := time.Since(began)
	if n := checkBetween(t, dir, lines, sums); n != len(sums) {
		t.Fatalf("undisturbed: %d of %d logs, %q", n, len(sums), lines)
	}
	random := rand.New(rand.NewPCG(1, 2))
	hit, byState, lost := 0, map[int]int{}, 0
	for try := 0; hit < *kills && try < 10**kills; try++ {
		dir := newDir(t)
		// Started again and again on one store, as an owner in a hurry would.
		for killed := true; killed && hit < *kills; {
			began := time.Now()
			lines, killed = run(t, "add", dir, folder, 1+time.Duration(random.Int64N(int64(span))))
			n := checkBetween(t, dir, lines, sums)
			if t.Failed() {
				t.Fatalf("after %d kills", hit)
			}
			switch {
			case killed:
				hit++
				byState[n]++
			case n < len(sums):
				lost++
			default:
				span = min(span, time.Since(began)) // the machine has become quicker
			}
		}
	}
	t.Logf("%d kills within %v each; logs in the store after a kill: %v", hit, span.Round(time.Millisecond), byState)
	if hit < *kills || lost > 0 {
		t.Errorf("only %d of %d kills hit; %d undisturbed runs were not whole", hit, *kills, lost)
	}
}

// TestKilledAtEachCall kills the program before each call that writes a file.
func TestKilledAtEachCall(t *testing.T) {
	t.Parallel()
	folder, sums := makeLogs(t, 2)
	hit := 0
	for n := 1; ; n++ {
		dir := newDir(t)
		lines, killed := run(t, fmt.Sprintf("kill %d", n), dir, folder, 0)
		in := checkBetween(t, dir, lines, sums)
		if !killed {
			if in != len(sums) {
				t.Errorf("undisturbed: %d of %d logs", in, len(sums))
			}
			break
		}
		hit++
		lines, _ = run(t, "add", dir, folder, 0)
		if in := checkBetween(t, dir, lines, sums); in != len(sums) {
			t.Errorf("killed before call %d and started again: %d of %d logs", n, in, len(sums))
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	if hit < 10 {
		t.Errorf("only %d calls to kill at", hit)
	}
	t.Logf("killed before each of %d calls", hit)
}
