package health

import (
	"os"
	"path/filepath"
	"testing"
)

// shared finds a file of the reference tree beside the module, or skips.
func shared(t testing.TB, rel string) string {
	t.Helper()
	root := os.Getenv("TRAPLIGHT_SHARED")
	if root == "" {
		dir, _ := os.Getwd()
		for {
			if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
				break
			}
			up := filepath.Dir(dir)
			if up == dir {
				t.Skip("no go.mod above the test")
			}
			dir = up
		}
		root = filepath.Join(dir, "..", "shared")
	}
	p := filepath.Join(root, rel)
	if _, err := os.Stat(p); err != nil {
		t.Skipf("reference data not here: %s", rel)
	}
	return p
}
