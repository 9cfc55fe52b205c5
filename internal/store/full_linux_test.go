package store_test

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// TestDiskFull fills a real file system, at many sizes of what was left. It
// needs the right to mount one.
func TestDiskFull(t *testing.T) {
	t.Parallel()
	mount := t.TempDir()
	if err := syscall.Mount("tmpfs", mount, "tmpfs", 0, "size=4m"); err != nil {
		t.Skipf("no file system can be mounted here to be filled: %v; TestEachCallFails and TestFileLimit stand in", err)
	}
	// Detached, since a child that another test is just starting holds what is open here until it runs.
	defer func() {
		if err := syscall.Unmount(mount, syscall.MNT_DETACH); err != nil {
			t.Errorf("unmount: %v", err)
		}
	}()
	folder, sums := makeLogs(t, 6)
	full, whole := 0, 0
	for left := int64(0); left <= 1<<20; left += 44 << 10 {
		dir := filepath.Join(mount, fmt.Sprint(left))
		s, err := store.Open(t.Context(), store.Options{Dir: dir, Create: true})
		if err != nil {
			t.Fatal(err)
		}
		storetest.AddCar(t, s, "Finch")
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		ballast := fill(t, mount, left)
		lines, _ := run(t, "add", dir, folder, 0)
		if err := os.Remove(ballast); err != nil {
			t.Fatal(err)
		}
		in := checkBetween(t, dir, lines, sums)
		switch told := strings.Contains(strings.Join(lines, "\n"), "error"); {
		case in == len(sums) && !told:
			whole++
		case !told:
			t.Errorf("%d bytes left: %d of %d logs and no error", left, in, len(sums))
		default:
			full++
		}
		again(t, dir, folder, sums, fmt.Sprintf("%d bytes left", left))
		if err := os.RemoveAll(dir); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("the disk was full in %d runs, and large enough in %d", full, whole)
	if full < 10 {
		t.Errorf("the disk was full only %d times", full)
	}
}

// fill leaves so many bytes free on a file system.
func fill(t *testing.T, mount string, left int64) (ballast string) {
	t.Helper()
	var st syscall.Statfs_t
	if err := syscall.Statfs(mount, &st); err != nil {
		t.Fatal(err)
	}
	ballast = filepath.Join(mount, "ballast")
	n := int64(st.Bavail)*st.Bsize - left
	if err := os.WriteFile(ballast, make([]byte, max(n, 0)), 0o600); err != nil && !errors.Is(err, syscall.ENOSPC) {
		t.Fatal(err)
	}
	return ballast
}

// TestFileLimit lets the system refuse to let any file grow beyond a size, as
// a full disk does, and without any right to mount.
func TestFileLimit(t *testing.T) {
	t.Parallel()
	folder, sums := makeLogs(t, 5)
	refused := 0
	for limit := 64 << 10; limit <= 400<<10; limit += 36 << 10 {
		dir := newDir(t)
		lines, _ := run(t, fmt.Sprintf("limit %d", limit), dir, folder, 0)
		in := checkBetween(t, dir, lines, sums)
		told := strings.Contains(strings.Join(lines, "\n"), "error")
		if in < len(sums) && !told {
			t.Errorf("limit %d: %d of %d logs and no error: %q", limit, in, len(sums), lines)
		}
		if told {
			refused++
		}
		again(t, dir, folder, sums, fmt.Sprintf("limit %d", limit))
	}
	t.Logf("refused in %d runs", refused)
	if refused < 3 {
		t.Errorf("refused only %d times", refused)
	}
}
