package store

import (
	"io"
	"os"
	"path/filepath"
	"time"

	"traplight/internal/atomicfile"
)

// staleTemp is the age at which a temporary file in the cache has no living
// writer any more.
const staleTemp = time.Hour

func (s *Store) cacheFile(key string) string { return s.path(cacheDir, key) }

// Cached opens what was put into the cache under key; ok is false when there
// is nothing. The whole folder may be deleted at any time.
func (s *Store) Cached(key string) (f *os.File, ok bool) {
	f, err := os.Open(s.cacheFile(key))
	return f, err == nil
}

// PutCached writes a file into the cache. The key is a file name; it should hold
// whatever makes the contents out of date when it changes.
func (s *Store) PutCached(key string, write func(io.Writer) error) error {
	s.sweepCache()
	w, err := atomicfile.Create(s.cacheFile(key))
	if err != nil {
		return wrap("cache", err)
	}
	defer w.Abort()
	if err := write(w); err != nil {
		return wrap("cache", err)
	}
	_, err = w.Commit(0o600)
	return wrap("cache", err)
}

// sweepCache removes what killed writers left, as well as that can be done.
func (s *Store) sweepCache() {
	left, _ := atomicfile.Leftovers(s.path(cacheDir))
	for _, name := range left {
		if info, err := os.Stat(name); err == nil && time.Since(info.ModTime()) > staleTemp {
			atomicfile.OS.Remove(name)
		}
	}
}

// forgetCached removes everything whose key begins with a sum, as well as that
// can be done.
func (s *Store) forgetCached(sum string) {
	hits, _ := filepath.Glob(s.cacheFile(sum + "*"))
	for _, name := range hits {
		atomicfile.OS.Remove(name)
	}
}
