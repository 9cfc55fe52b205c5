package store_test

import (
	"archive/zip"
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"traplight/internal/atomicfile"
	"traplight/internal/atomicfile/faulttest"
	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// TestBackupIsPlain reads a backup with general tools only: the manifest's sums
// hold, and the database opens.
func TestBackupIsPlain(t *testing.T) {
	s := fresh(t)
	sums := pastContents(t, s)
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file, nil); err != nil {
		t.Fatal(err)
	}
	z, err := zip.OpenReader(file)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	var m store.Manifest
	if err := json.Unmarshal(member(t, &z.Reader, "manifest.json"), &m); err != nil {
		t.Fatal(err)
	}
	if len(m.Files) != 1+len(sums) || m.Format != "traplight backup" {
		t.Errorf("manifest %+v", m)
	}
	for _, f := range m.Files {
		sum := sha256.Sum256(member(t, &z.Reader, f.Path))
		if hex.EncodeToString(sum[:]) != f.SHA256 {
			t.Errorf("%s: sum differs", f.Path)
		}
	}
	for _, sum := range sums {
		if got := sha256.Sum256(member(t, &z.Reader, "originals/"+sum)); hex.EncodeToString(got[:]) != sum {
			t.Errorf("original %s: sum differs", sum)
		}
	}
}

func member(t *testing.T, z *zip.Reader, name string) []byte {
	t.Helper()
	f, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	data, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// TestDamagedBackup damages a backup in every way that a careless copy or an
// evil hand does. It must be refused, and the store that is there must stay.
func TestDamagedBackup(t *testing.T) {
	s := fresh(t)
	sums := pastContents(t, s)
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file, nil); err != nil {
		t.Fatal(err)
	}
	whole, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	rebuild := func(change func(name string, data []byte) (string, []byte)) []byte {
		z, err := zip.NewReader(bytes.NewReader(whole), int64(len(whole)))
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		w := zip.NewWriter(&out)
		for _, f := range z.File {
			name, data := change(f.Name, member(t, z, f.Name))
			if name == "" {
				continue
			}
			m, err := w.Create(name)
			if err != nil {
				t.Fatal(err)
			}
			m.Write(data)
		}
		w.Close()
		return out.Bytes()
	}
	same := func(name string, data []byte) (string, []byte) { return name, data }
	manifest := func(old, new string) []byte {
		return rebuild(func(name string, data []byte) (string, []byte) {
			if name == "manifest.json" {
				data = []byte(strings.Replace(string(data), old, new, 1))
			}
			return name, data
		})
	}
	dir := filepath.Join(t.TempDir(), "here")
	if _, err := store.RestoreBackup(t.Context(), put(t, rebuild(same)), dir, false, nil); err != nil {
		t.Fatalf("rebuilt without harm: %v", err)
	}
	for name, data := range map[string][]byte{
		"cut short":        whole[:len(whole)*2/3],
		"empty":            {},
		"no zip":           []byte("hello"),
		"original missing": rebuild(func(n string, d []byte) (string, []byte) { return strings.TrimSuffix(n, "originals/"+sums[0]), d }),
		"database missing": rebuild(func(n string, d []byte) (string, []byte) { return strings.TrimSuffix(n, "traplight.db"), d }),
		"manifest missing": rebuild(func(n string, d []byte) (string, []byte) { return strings.TrimSuffix(n, "manifest.json"), d }),
		"original changed": rebuild(func(n string, d []byte) (string, []byte) {
			return n, bytes.Replace(d, []byte("car Dipper"), []byte("car Dapper"), 1)
		}),
		"original longer":   rebuild(func(n string, d []byte) (string, []byte) { return n, append(d, ' ') }),
		"climbs out":        manifest(`"path": "traplight.db"`, `"path": "../traplight.db"`),
		"other name":        manifest(`"path": "traplight.db"`, `"path": "autoexec"`),
		"original unlisted": manifest("originals/"+sums[1], "originals/"+sums[0]),
		"of the future":     manifest(`"version": 1`, `"version": 99`),
	} {
		_, err := store.RestoreBackup(t.Context(), put(t, data), dir, true, nil)
		if err == nil {
			t.Errorf("%s: restored", name)
			continue
		}
		t.Logf("%s: %v", name, err)
		around, _ := filepath.Glob(filepath.Join(filepath.Dir(dir), "*"))
		hidden, _ := filepath.Glob(filepath.Join(filepath.Dir(dir), ".*"))
		if len(around)+len(hidden) != 1 {
			t.Errorf("%s: left %v %v", name, around, hidden)
		}
	}
	r, err := store.Open(t.Context(), store.Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	checkPast2(t, r)
}

// checkPast2 is that the store still lists what pastContents put there.
func checkPast2(t *testing.T, s *store.Store) {
	t.Helper()
	if list, err := s.Passes(t.Context(), store.Filter{}); err != nil || len(list) != 2 {
		t.Errorf("%d passes, %v", len(list), err)
	}
	storetest.Sound(t, s)
}

func put(t *testing.T, data []byte) string {
	t.Helper()
	return storetest.Write(t, "b.zip", string(data))
}

// TestRestoreReplaces moves the store that is there aside, whole.
func TestRestoreReplaces(t *testing.T) {
	s := fresh(t)
	pastContents(t, s)
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file, nil); err != nil {
		t.Fatal(err)
	}
	storetest.AddCar(t, s, "Newer")
	s.Close()
	aside, err := store.RestoreBackup(t.Context(), file, s.Dir(), true, nil)
	if err != nil {
		t.Fatal(err)
	}
	for dir, want := range map[string]int{s.Dir(): 1, aside: 2} {
		r, err := store.Open(t.Context(), store.Options{Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		checkPast2(t, r)
		if cars, err := r.Cars(t.Context()); err != nil || len(cars) != want {
			t.Errorf("%s: %d cars, want %d, %v", filepath.Base(dir), len(cars), want, err)
		}
		r.Close()
	}
}

// TestBackupFails lets each call fail while a backup is written and restored:
// no file, or the old one, stands under the name, and the store stays.
func TestBackupFails(t *testing.T) {
	s := fresh(t)
	pastContents(t, s)
	defer func() { atomicfile.OS = atomicfile.Plain() }()
	old := "the backup of yesterday"
	hit := 0
	for n := 1; ; n++ {
		file := put(t, []byte(old))
		call := ""
		atomicfile.OS, _ = faulttest.Wrap(atomicfile.Plain(), failAt(n, &call))
		_, err := s.Backup(t.Context(), file, nil)
		atomicfile.OS = atomicfile.Plain()
		data, _ := os.ReadFile(file)
		if call == "" {
			if err != nil {
				t.Fatal(err)
			}
			break
		}
		hit++
		if !errors.Is(err, syscall.ENOSPC) || string(data) != old && call != "sync folder" {
			t.Errorf("%s (call %d): %v, %d bytes", call, n, err, len(data))
		}
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file, nil); err != nil {
		t.Fatal(err)
	}
	for n := 1; ; n++ {
		dir := filepath.Join(t.TempDir(), "here")
		call := ""
		atomicfile.OS, _ = faulttest.Wrap(atomicfile.Plain(), failAt(n, &call))
		_, err := store.RestoreBackup(t.Context(), file, dir, false, nil)
		atomicfile.OS = atomicfile.Plain()
		_, openErr := store.Open(t.Context(), store.Options{Dir: dir})
		if call == "" {
			if err != nil || openErr != nil {
				t.Fatal(err, openErr)
			}
			break
		}
		hit++
		if !errors.Is(err, syscall.ENOSPC) || !errors.Is(openErr, store.ErrNoStore) && call != "sync folder" {
			t.Errorf("restore: %s (call %d): %v; then %v", call, n, err, openErr)
		}
	}
	if hit < 25 {
		t.Errorf("only %d calls could fail", hit)
	}
	checkPast2(t, s)
}

func failAt(n int, call *string) faulttest.Hook {
	return func(i int, c string) error {
		if i != n {
			return nil
		}
		*call = c
		return syscall.ENOSPC
	}
}

// TestBackupSpreadsNoDamage refuses to write an original that is not what was
// added.
func TestBackupSpreadsNoDamage(t *testing.T) {
	s := fresh(t)
	sums := pastContents(t, s)
	path := s.OriginalPath(sums[0])
	os.Chmod(path, 0o600)
	if err := os.WriteFile(path, []byte("other"), 0o600); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "b.zip")
	if _, err := s.Backup(t.Context(), file, nil); !errors.Is(err, store.ErrDamaged) || !strings.Contains(err.Error(), "d01.csv") {
		t.Errorf("error %v", err)
	}
	if _, err := os.Stat(file); !os.IsNotExist(err) {
		t.Errorf("a backup was left: %v", err)
	}
	done, err := s.Repair(t.Context())
	if err != nil || len(done) != 1 {
		t.Errorf("repair: %v, %v", done, err)
	}
	aside, _ := filepath.Glob(filepath.Join(s.Dir(), "damaged", sums[0]+"-*"))
	if len(aside) != 1 {
		t.Errorf("put aside: %v", aside)
	}
	a, err := s.Add(context.Background(), storetest.Write(t, "d01.csv", storetest.ToyLog("Dipper", 40, "2031-05-17T10:21 12.5 81.25", "2031-05-17T10:41 1200.25 0")), storetest.Toy)
	if err != nil || a.Outcome != store.Healed {
		t.Errorf("healed: %+v, %v", a, err)
	}
	checkPast2(t, s)
}
