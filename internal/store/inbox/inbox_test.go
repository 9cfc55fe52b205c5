package inbox_test

import (
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"traplight/internal/store/inbox"
)

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.MkdirAll(filepath.Dir(path), 0o700); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
}

func TestCollect(t *testing.T) {
	dir := t.TempDir()
	for _, name := range []string{"b.CSV", "a.csv", "day/c.csv.gz", "notes.toml", ".hidden.csv", ".git/d.csv", "~$e.xlsx", "photo.jpg", "odd.ecu", "run/pull 10.csv", "run/pull 9.csv", "run/pull 010b.csv"} {
		write(t, filepath.Join(dir, name), "x")
	}
	names := func(paths ...string) (out []string, skipped int) {
		files, skipped, err := inbox.Collect(paths)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range files {
			name, _ := filepath.Rel(dir, f.Path)
			if f.Named {
				name += " named"
			}
			out = append(out, filepath.ToSlash(name))
		}
		return out, skipped
	}
	got, skipped := names(filepath.Join(dir, "odd.ecu"), dir, filepath.Join(dir, "a.csv"))
	want := []string{"notes.toml", "odd.ecu named", "a.csv", "b.CSV", "day/c.csv.gz", "run/pull 9.csv", "run/pull 10.csv", "run/pull 010b.csv"}
	if !slices.Equal(got, want) || skipped != 4 {
		t.Errorf("%v and %d skipped, want %v and 4", got, skipped, want)
	}
	if _, _, err := inbox.Collect([]string{filepath.Join(dir, "none.csv")}); err == nil || !strings.Contains(err.Error(), "none.csv") {
		t.Errorf("a file that is not there: %v", err)
	}
}

// TestWatch lets files appear in every way that they do in the pits.
func TestWatch(t *testing.T) {
	drive := filepath.Join(t.TempDir(), "drive") // not there yet
	box := t.TempDir()
	write(t, filepath.Join(box, "old.csv"), "was there before")
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	taken := make(chan string, 100)
	told := make(chan string, 100)
	w := inbox.Watcher{
		Folders: []string{box, drive}, Poll: 30 * time.Millisecond, Settle: 300 * time.Millisecond,
		Lost: func(string) { told <- "lost" }, Back: func(string) { told <- "back" },
	}
	ended := make(chan error)
	go func() {
		ended <- w.Run(ctx, func(files []inbox.File) {
			for _, f := range files {
				data, err := os.ReadFile(f.Path)
				if err != nil {
					t.Error(err)
				}
				taken <- filepath.Base(f.Path) + ": " + string(data)
			}
		})
	}()
	expect := func(from chan string, want string) {
		t.Helper()
		select {
		case got := <-from:
			if got != want {
				t.Errorf("got %q, want %q", got, want)
			}
		case <-time.After(20 * time.Second):
			t.Fatalf("waited in vain for %q", want)
		}
	}
	expect(taken, "old.csv: was there before")

	// A recorder that takes pauses shorter than the settling time.
	path := filepath.Join(box, "slow.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	for range 8 {
		f.WriteString("row ")
		time.Sleep(30 * time.Millisecond)
	}
	f.Close()
	expect(taken, "slow.csv: "+strings.Repeat("row ", 8))

	// The drive is put in, pulled, and put in again with one file more.
	write(t, filepath.Join(drive, "deep", "1.csv"), "one")
	expect(told, "back")
	expect(taken, "1.csv: one")
	away := drive + " pulled"
	if err := os.Rename(drive, away); err != nil {
		t.Fatal(err)
	}
	expect(told, "lost")
	write(t, filepath.Join(away, "2.csv"), "two")
	if err := os.Rename(away, drive); err != nil {
		t.Fatal(err)
	}
	expect(told, "back")
	expect(taken, "2.csv: two") // and not the first again

	// What is no log stays; notes come before logs of the same moment.
	day := filepath.Join(t.TempDir(), "day")
	write(t, filepath.Join(day, "photo.jpg"), "x")
	write(t, filepath.Join(day, "a.csv"), "log")
	write(t, filepath.Join(day, "notes.toml"), "notes")
	if err := os.Rename(day, filepath.Join(box, "day")); err != nil {
		t.Fatal(err)
	}
	expect(taken, "notes.toml: notes")
	expect(taken, "a.csv: log")

	// A file that changes comes again.
	write(t, filepath.Join(box, "day", "a.csv"), "longer log")
	expect(taken, "a.csv: longer log")

	cancel()
	if err := <-ended; err != context.Canceled {
		t.Errorf("ended with %v", err)
	}
	if len(taken) > 0 {
		t.Errorf("taken besides: %q", <-taken)
	}
}

func TestWatchQuiet(t *testing.T) {
	box := t.TempDir()
	write(t, filepath.Join(box, "old.csv"), "x")
	ctx, cancel := context.WithCancel(t.Context())
	w := inbox.Watcher{Folders: []string{box}, Poll: 10 * time.Millisecond, Settle: 20 * time.Millisecond, Quiet: true}
	time.AfterFunc(100*time.Millisecond, func() { os.WriteFile(filepath.Join(box, "new.csv"), []byte("x"), 0o600) })
	var got []string
	w.Run(ctx, func(files []inbox.File) {
		for _, f := range files {
			got = append(got, filepath.Base(f.Path))
		}
		cancel()
	})
	if !slices.Equal(got, []string{"new.csv"}) {
		t.Errorf("taken %v", got)
	}
}
