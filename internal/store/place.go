package store

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
)

// Environment is the variable that overrides DefaultDir.
const Environment = "TRAPLIGHT_DATA"

// Names inside the data folder.
const (
	dbName       = "traplight.db"
	lockName     = "traplight.lock"
	originalsDir = "originals"
	copiesDir    = "copies"
	cacheDir     = "cache"
	damagedDir   = "damaged"
)

// DefaultDir is the folder used when nobody names one: TRAPLIGHT_DATA, else
// the place where the system keeps a user's data (on Linux as the XDG Base
// Directory Specification 0.8 says).
func DefaultDir() (string, error) {
	if dir := os.Getenv(Environment); dir != "" {
		return filepath.Abs(dir)
	}
	home, err := os.UserHomeDir()
	if err != nil {
		return "", errors.New("no home folder is known; name the data folder with --data or " + Environment)
	}
	switch runtime.GOOS {
	case "windows":
		if dir := os.Getenv("LocalAppData"); dir != "" {
			return filepath.Join(dir, "traplight"), nil
		}
		return filepath.Join(home, "AppData", "Local", "traplight"), nil
	case "darwin":
		return filepath.Join(home, "Library", "Application Support", "traplight"), nil
	}
	if dir := os.Getenv("XDG_DATA_HOME"); filepath.IsAbs(dir) { // relative ones are to be ignored
		return filepath.Join(dir, "traplight"), nil
	}
	return filepath.Join(home, ".local", "share", "traplight"), nil
}

func (s *Store) path(elem ...string) string {
	return filepath.Join(append([]string{s.dir}, elem...)...)
}
