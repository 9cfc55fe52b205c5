// Package sharedata finds, for tests, the folder of reference data that lies
// beside the repository. It is no part of the program.
package sharedata

import (
	"os"
	"path/filepath"
	"testing"
)

// Dir is the path of a folder or file of the reference data: ../shared from the
// module's root, or where TRAPLIGHT_SHARED points. It skips the test, with the
// reason, when it is not there.
func Dir(t testing.TB, parts ...string) string {
	t.Helper()
	base := os.Getenv("TRAPLIGHT_SHARED")
	if base == "" {
		dir, err := os.Getwd()
		if err != nil {
			t.Fatal(err)
		}
		for {
			if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
				break
			}
			if filepath.Dir(dir) == dir {
				t.Fatal("no go.mod above the test")
			}
			dir = filepath.Dir(dir)
		}
		base = filepath.Join(dir, "..", "shared")
	}
	path := filepath.Join(append([]string{base}, parts...)...)
	if _, err := os.Stat(path); err != nil {
		t.Skipf("no reference data at %s", path)
	}
	return path
}
