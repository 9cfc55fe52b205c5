package store_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// season is the number of passes of the benchmarks: a shop's many years.
const season = 2000

// seasonStore is a store with the passes of a season, of four cars.
func seasonStore(b *testing.B) *store.Store {
	b.Helper()
	s, err := store.Open(b.Context(), store.Options{Dir: b.TempDir(), Create: true})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	cars := []string{"Finch", "Quail", "Dipper", "Linnet"}
	for _, c := range cars {
		storetest.AddCar(b, s, c)
	}
	folder := b.TempDir()
	var paths []string
	for i := range season {
		path := filepath.Join(folder, fmt.Sprintf("%04d.csv", i))
		text := storetest.ToyLog(cars[i%4], 40, fmt.Sprintf("20%02d-%02d-%02dT10:%02d 12.5 %d.%03d", 31+i/336, 1+i/28%12, 1+i%28, i%60, 80, i))
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			b.Fatal(err)
		}
		paths = append(paths, path)
	}
	b.ResetTimer()
	if err := s.AddAll(b.Context(), paths, storetest.Toy, func(p store.Progress) {
		if p.Err != nil {
			b.Error(p.Err)
		}
	}); err != nil {
		b.Fatal(err)
	}
	b.StopTimer()
	return s
}

// BenchmarkAdd adds 2000 logs of one pass each, without any analysis.
func BenchmarkAdd(b *testing.B) {
	for range b.N {
		seasonStore(b)
	}
	b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N*season), "ms/pass")
}

// BenchmarkList lists 2000 passes in a store that is open, and with opening it.
func BenchmarkList(b *testing.B) {
	s := seasonStore(b)
	list := func(b *testing.B, s *store.Store, f store.Filter, want int) {
		if l, err := s.Passes(b.Context(), f); err != nil || len(l) != want {
			b.Fatalf("%d passes, %v", len(l), err)
		}
	}
	b.Run("all", func(b *testing.B) {
		for b.Loop() {
			list(b, s, store.Filter{}, season)
		}
	})
	b.Run("car", func(b *testing.B) {
		for b.Loop() {
			list(b, s, store.Filter{Car: "finch"}, season/4)
		}
	})
	b.Run("opened", func(b *testing.B) {
		for b.Loop() {
			r, err := store.Open(b.Context(), store.Options{Dir: s.Dir()})
			if err != nil {
				b.Fatal(err)
			}
			list(b, r, store.Filter{}, season)
			r.Close()
		}
	})
}
