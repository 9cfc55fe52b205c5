package store_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"traplight/internal/atomicfile"
	"traplight/internal/store"
	"traplight/internal/store/storetest"
)

// TestManyAtOnce lets several stores on one folder, as several programs, add
// the same logs while others read.
func TestManyAtOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "d")
	open := func() *store.Store {
		s, err := store.Open(t.Context(), store.Options{Dir: dir, Create: true})
		if err != nil {
			t.Error(err)
		}
		return s
	}
	first := open()
	defer first.Close()
	storetest.AddCar(t, first, "Finch")
	var paths []string
	for i := range 12 {
		paths = append(paths, storetest.Write(t, fmt.Sprintf("%d.csv", i), storetest.ToyLog("Finch", i+1, "2031-05-17T10:21 12.5 81.2")))
	}
	var all sync.WaitGroup
	var mu sync.Mutex
	outcomes := map[store.Outcome]int{}
	for range 3 {
		all.Go(func() {
			s := open()
			defer s.Close()
			s.AddAll(t.Context(), paths, storetest.Toy, func(p store.Progress) {
				mu.Lock()
				defer mu.Unlock()
				outcomes[p.Addition.Outcome]++
				if p.Err != nil {
					t.Error(p.Err)
				}
			})
		})
		all.Go(func() {
			s := open()
			defer s.Close()
			for range 20 {
				if _, err := s.Passes(t.Context(), store.Filter{}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if outcomes[store.Added] != 12 || outcomes[store.Known] != 24 {
		t.Errorf("outcomes %v", outcomes)
	}
	if list, err := first.Passes(t.Context(), store.Filter{}); err != nil || len(list) != 12 {
		t.Errorf("%d passes, %v", len(list), err)
	}
	storetest.Sound(t, first)
}

// TestBusy waits for another writer only so long, and reads all the while.
func TestBusy(t *testing.T) {
	a := fresh(t)
	storetest.AddCar(t, a, "Finch")
	b, err := store.Open(t.Context(), store.Options{Dir: a.Dir(), LockWait: 50 * time.Millisecond})
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	// An original on a slow disk holds the writer.
	hold, held := make(chan bool), make(chan bool)
	sys := atomicfile.Plain()
	rename := sys.Rename
	sys.Rename = func(from, to string) error { close(held); <-hold; return rename(from, to) }
	atomicfile.OS = sys
	defer func() { atomicfile.OS = atomicfile.Plain() }()
	done := make(chan error)
	path := storetest.Write(t, "1.csv", storetest.ToyLog("Finch", 1, "2031-05-17T10:21 12.5 81.2"))
	go func() {
		_, err := a.Add(context.Background(), path, storetest.Toy)
		done <- err
	}()
	<-held
	if err := b.Correct(t.Context(), "Finch", "x", "y"); !errors.Is(err, store.ErrBusy) {
		t.Errorf("a second writer: %v", err)
	}
	if list, err := b.Passes(t.Context(), store.Filter{}); err != nil || len(list) != 0 {
		t.Errorf("reading meanwhile: %d passes, %v", len(list), err)
	}
	close(hold)
	if err := <-done; err != nil {
		t.Error(err)
	}
	if err := b.Correct(t.Context(), "Finch", "x", "y"); err != nil {
		t.Errorf("after the first has finished: %v", err)
	}
}

// TestChangedWhileRead is a log that a recorder still writes to.
func TestChangedWhileRead(t *testing.T) {
	s := fresh(t)
	storetest.AddCar(t, s, "Finch")
	path := storetest.Write(t, "1.csv", storetest.ToyLog("Finch", 1, "2031-05-17T10:21 12.5 81.2"))
	_, err := s.Add(t.Context(), path, func(ctx context.Context, path, file string, sum atomicfile.Sum) (*store.Analysis, error) {
		a, err := storetest.Toy(ctx, path, file, sum)
		f, _ := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
		f.WriteString("more\n")
		f.Close()
		return a, err
	})
	if !errors.Is(err, store.ErrChanged) {
		t.Errorf("error %v", err)
	}
	if c := storetest.Sound(t, s); c.Logs != 0 {
		t.Errorf("%d logs", c.Logs)
	}
	if files, _ := os.ReadDir(filepath.Join(s.Dir(), "originals")); len(files) != 0 {
		t.Errorf("left %v", files)
	}
}

// TestStopped ends a batch half way, as Ctrl-C does.
func TestStopped(t *testing.T) {
	s := fresh(t)
	storetest.AddCar(t, s, "Finch")
	var paths []string
	for i := range 30 {
		paths = append(paths, storetest.Write(t, fmt.Sprintf("%d.csv", i), storetest.ToyLog("Finch", i+1, "2031-05-17T10:21 12.5 81.2")))
	}
	ctx, cancel := context.WithCancel(t.Context())
	told := 0
	err := s.AddAll(ctx, paths, storetest.Toy, func(p store.Progress) {
		if told++; told == 5 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error %v", err)
	}
	if list, err := s.Passes(t.Context(), store.Filter{}); err != nil || len(list) != told {
		t.Errorf("%d passes, told of %d, %v", len(list), told, err)
	}
	storetest.Sound(t, s)
}
