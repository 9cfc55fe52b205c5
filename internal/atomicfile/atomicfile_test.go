package atomicfile_test

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"traplight/internal/atomicfile"
	"traplight/internal/atomicfile/faulttest"
)

// The digest of "abc" is in FIPS 180-4's published examples for SHA-256.
const sumABC = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"

func TestCopy(t *testing.T) {
	name := filepath.Join(t.TempDir(), "new", "folder", "x")
	sum, err := atomicfile.Copy(name, strings.NewReader("abc"), 0o444)
	if err != nil {
		t.Fatal(err)
	}
	if sum != (atomicfile.Sum{Size: 3, SHA256: sumABC}) {
		t.Errorf("sum %+v", sum)
	}
	got, err := os.ReadFile(name)
	if err != nil || string(got) != "abc" {
		t.Errorf("read %q, %v", got, err)
	}
	info, _ := os.Stat(name)
	if runtime.GOOS != "windows" && info.Mode().Perm() != 0o444 {
		t.Errorf("mode %v, want read-only", info.Mode())
	}
	if left, _ := atomicfile.Leftovers(filepath.Dir(name)); len(left) != 0 {
		t.Errorf("left behind: %v", left)
	}
}

// TestEveryCallFails lets each call of a copy over an existing file fail once.
// The name must stand for the old bytes, or for all of the new ones.
func TestEveryCallFails(t *testing.T) {
	old, new := strings.Repeat("old", 1000), strings.Repeat("brand new", 20000)
	for _, fault := range []error{syscall.ENOSPC, syscall.EACCES, syscall.EIO} {
		failed := 0
		for n := 1; ; n++ {
			name := filepath.Join(t.TempDir(), "x")
			if err := os.WriteFile(name, []byte(old), 0o600); err != nil {
				t.Fatal(err)
			}
			call := ""
			sys, _ := faulttest.Wrap(atomicfile.Plain(), func(i int, c string) error {
				if i == n {
					call = c
					return &os.PathError{Op: c, Path: "somewhere", Err: fault}
				}
				return nil
			})
			atomicfile.OS = sys
			// Small reads, so that the disk also fills in the middle.
			_, err := atomicfile.Copy(name, readOnly{bytes.NewReader([]byte(new))}, 0o600)
			atomicfile.OS = atomicfile.Plain()
			got, readErr := os.ReadFile(name)
			if readErr != nil {
				t.Fatalf("%s (call %d): %v", call, n, readErr)
			}
			if call == "" { // no call failed: the end
				if err != nil || string(got) != new {
					t.Fatalf("without a fault: %d bytes, %v", len(got), err)
				}
				break
			}
			failed++
			if !errors.Is(err, fault) {
				t.Errorf("%s (call %d): error %v, want %v", call, n, err, fault)
			}
			if err != nil && strings.Contains(err.Error(), "somewhere") {
				t.Errorf("%s: message names the temporary file: %v", call, err)
			}
			if s := string(got); s != old && !(call == "sync folder" && s == new) {
				t.Errorf("%s (call %d): the name stands for %d bytes, neither old nor allowed new", call, n, len(s))
			}
			if left, _ := atomicfile.Leftovers(filepath.Dir(name)); len(left) != 0 {
				t.Errorf("%s (call %d): left behind %v", call, n, left)
			}
		}
		if failed < 8 {
			t.Errorf("only %d calls could fail", failed)
		}
	}
}

func TestShortDiskIsNoticed(t *testing.T) {
	name := filepath.Join(t.TempDir(), "x")
	w, err := atomicfile.Create(name)
	if err != nil {
		t.Fatal(err)
	}
	w.Write([]byte("some bytes"))
	if err := os.Truncate(w.TempName(), 4); err != nil {
		t.Fatal(err)
	}
	if _, err := w.Commit(0o600); !errors.Is(err, atomicfile.ErrShort) {
		t.Errorf("error %v, want %v", err, atomicfile.ErrShort)
	}
	if _, err := os.Stat(name); !os.IsNotExist(err) {
		t.Errorf("the name exists: %v", err)
	}
}

// readOnly hides WriteTo, so that io.Copy works in chunks.
type readOnly struct{ r *bytes.Reader }

func (r readOnly) Read(p []byte) (int, error) { return r.r.Read(p) }
