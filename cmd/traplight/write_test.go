package main

import (
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestWriteOverItsKind: a page replaces an older page, but no log whose name was mistyped.
func TestWriteOverItsKind(t *testing.T) {
	w := &world{err: io.Discard}
	for was, ok := range map[string]bool{"": true, "<!doctype html>\n<p>old": true, "time,rpm\n0,900\n": false, "<!": false} {
		name := filepath.Join(t.TempDir(), "p.html")
		if err := os.WriteFile(name, []byte(was), 0o600); err != nil {
			t.Fatal(err)
		}
		err := w.writeFile(name, pageBegins, func(out io.Writer) error {
			_, err := io.WriteString(out, "<!doctype html>new")
			return err
		})
		now, _ := os.ReadFile(name)
		if ok != (err == nil) || ok != (string(now) == "<!doctype html>new") || !ok && (string(now) != was || !strings.Contains(err.Error(), "another name")) {
			t.Errorf("over %q: %v, and %q is there", was, err, now)
		}
	}
}
