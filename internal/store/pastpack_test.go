package store_test

import (
	"archive/tar"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"testing"
	"time"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// pastContents is what each store in testdata holds.
func pastContents(t *testing.T, s *store.Store) (sums []string) {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	ctx := t.Context()
	for i, body := range []string{"name = \"Dipper\"\n", "name = \"Dipper\"\nvalid_from = \"2031-06-01\"\n"} {
		_, _, err := s.AddSheet(ctx, store.Sheet{Car: "Dipper", File: "dipper.toml", Body: []byte(body), Valid: []string{"", "2031-06-01"}[i]})
		must(err)
	}
	_, err := s.AddNotes(ctx, "days.toml", []byte("[[pass]]\nid = \"d01\"\n"), []store.Entry{{Kind: store.PassEntry, Key: "d01", Body: "id = \"d01\"\n"}}, false)
	must(err)
	for i, text := range []string{
		storetest.ToyLog("Dipper", 40, "2031-05-17T10:21 12.5 81.25", "2031-05-17T10:41 1200.25 0"),
		storetest.ToyLog("Dipper", 400, "2031-06-02T09:00 3.5 82.5"),
		storetest.ToyLog("Dipper", 4),
	} {
		a, err := s.Add(ctx, storetest.Write(t, fmt.Sprintf("d0%d.csv", i+1), text), storetest.Toy)
		must(err)
		sums = append(sums, a.SHA256)
	}
	must(s.Remove(ctx, "dipper-2031-05-17-2"))
	must(s.Together(ctx, sums[0], sums[1]))
	must(s.Correct(ctx, "Dipper", "P 3", "fuel_pressure kPa"))
	must(s.Learn(ctx, "Dipper", "tyre radius", "i", []byte(`{"m":0.33}`)))
	f, err := s.RecordForecast(ctx, "Dipper", "d02", "i", []byte(`{"trap":{"mean_mps":82}}`))
	must(err)
	must(s.RecordScore(ctx, store.Score{ForecastID: f.ID, Pass: "dipper-2031-06-02-1", Kind: "as run", Body: []byte(`{"error_mps":0.5}`)}))
	must(s.RecordInspection(ctx, "dipper-2031-05-17-1", "plugs read: clean", "crew"))
	return sums
}

func TestMakeFormat(t *testing.T) {
	if !*makeFormat {
		t.Skip("only with -make-format")
	}
	clock := time.Date(2031, 7, 1, 12, 0, 0, 0, time.UTC)
	dir := t.TempDir()
	s, err := store.Open(t.Context(), store.Options{Dir: dir, Create: true, Program: "traplight", Now: func() time.Time {
		clock = clock.Add(time.Second)
		return clock
	}})
	if err != nil {
		t.Fatal(err)
	}
	pastContents(t, s)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join("testdata", fmt.Sprintf("format-%d.tar.gz", store.Format()))
	if _, err := os.Stat(name); err == nil {
		t.Fatalf("%s is there already: a past format does not change", name)
	}
	if err := packDir(name, dir); err != nil {
		t.Fatal(err)
	}
}

func packDir(name, dir string) error {
	out, err := os.Create(name)
	if err != nil {
		return err
	}
	defer out.Close()
	z := gzip.NewWriter(out)
	w := tar.NewWriter(z)
	if err := w.AddFS(os.DirFS(dir)); err != nil {
		return err
	}
	return errors.Join(w.Close(), z.Close())
}

func unpackDir(t *testing.T, name, dir string) {
	t.Helper()
	in, err := os.Open(name)
	if err != nil {
		t.Fatalf("%v; see makeFormat", err)
	}
	defer in.Close()
	z, err := gzip.NewReader(in)
	if err != nil {
		t.Fatal(err)
	}
	for r := tar.NewReader(z); ; {
		h, err := r.Next()
		if err == io.EOF {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		path := filepath.Join(dir, filepath.FromSlash(h.Name))
		if h.Typeflag == tar.TypeDir {
			err = os.MkdirAll(path, 0o700)
		} else {
			var data []byte
			if data, err = io.ReadAll(r); err == nil {
				err = errors.Join(os.MkdirAll(filepath.Dir(path), 0o700), os.WriteFile(path, data, fs.FileMode(h.Mode)))
			}
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}
