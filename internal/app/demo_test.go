package app

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"traplight/internal/atomicfile"
	"traplight/internal/atomicfile/faulttest"
	"traplight/internal/demo"
)

// TestDemoOnFullDisk: whichever file the disk has no room for, nothing of the day stays behind,
// and what was in the folder before does.
func TestDemoOnFullDisk(t *testing.T) {
	day := demo.Event{Sheet: []byte("a"), Notes: []byte("b"), Recordings: []demo.Recording{{CSV: []byte("c")}, {CSV: []byte("d")}}}
	shop := &DemoShop{Sheet: "car.toml", Notes: "passes.toml", Logs: []string{"1.csv", "2.csv"}}
	calls := 0
	for stop := 1; ; stop++ {
		dir := filepath.Join(t.TempDir(), "shop")
		others := stop%2 == 0
		if others {
			if err := os.Mkdir(dir, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(dir, "mine.txt"), nil, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		var n int
		atomicfile.OS, _ = faulttest.Wrap(atomicfile.Plain(), func(i int, _ string) error {
			if n = i; i == stop {
				return syscall.ENOSPC
			}
			return nil
		})
		err := saveDemo(dir, shop, day)
		atomicfile.OS = atomicfile.Plain()
		if err == nil {
			if n >= stop {
				t.Errorf("call %d failed and was not told", stop)
			}
			calls = stop - 1
			break
		}
		if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "nothing was kept in "+dir) {
			t.Errorf("call %d: %v", stop, err)
		}
		left, err := os.ReadDir(dir)
		if others && (err != nil || len(left) != 1) || !others && err == nil {
			t.Errorf("call %d: left %v, %v", stop, left, err)
		}
	}
	if calls < 5 {
		t.Errorf("only %d calls were made to fail", calls)
	}
}
