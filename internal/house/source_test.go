package house

import (
	"bytes"
	"errors"
	"go/format"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"
)

// eachFile calls f for every file that is kept in version control, with its
// path from the root. Without git it walks the folders.
func eachFile(t *testing.T, f func(rel string, data []byte)) {
	t.Helper()
	base := root(t)
	for _, rel := range fileNames(t, base) {
		data, err := os.ReadFile(filepath.Join(base, filepath.FromSlash(rel)))
		if errors.Is(err, fs.ErrNotExist) {
			continue
		} else if err != nil {
			t.Fatal(err)
		}
		f(rel, data)
	}
}

func fileNames(t *testing.T, base string) []string {
	t.Helper()
	cmd := exec.Command("git", "ls-files", "-z")
	cmd.Dir = base
	if out, err := cmd.Output(); err == nil && len(out) > 0 {
		return strings.Split(strings.TrimRight(string(out), "\x00"), "\x00")
	}
	var names []string
	err := filepath.WalkDir(base, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == ".git" || d.Name() == "node_modules" || d.Name() == "dist") {
			return filepath.SkipDir
		}
		if d.Type().IsRegular() {
			rel, err := filepath.Rel(base, path)
			if err != nil {
				return err
			}
			names = append(names, filepath.ToSlash(rel))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return names
}

func TestFormatted(t *testing.T) {
	eachFile(t, func(rel string, data []byte) {
		if !strings.HasSuffix(rel, ".go") {
			return
		}
		want, err := format.Source(data)
		if err != nil {
			t.Errorf("%s: %v", rel, err)
		} else if !bytes.Equal(want, data) {
			t.Errorf("%s is not formatted: run gofmt -w on it", rel)
		}
	})
}

// foreign are traces of one machine or of how the work is done, which have no
// place in the project. They are put together here from pieces, so that this
// file does not hold them.
var foreign = func() []*regexp.Regexp {
	join := func(parts ...string) string { return strings.Join(parts, "") }
	var out []*regexp.Regexp
	for _, p := range []string{
		`(^|[^a-zA-Z0-9_.])/(` + join("wo", "rk|fa", "rm|ro", "ot") + `)/`,
		`(^|[^a-zA-Z0-9_.])/(` + join("ho", "me|Us", "ers") + `)/[a-z]+/`,
		join(`bash`, `_jobs`),
		join(`(?i)\btran`, `script`),
		join(`(?i)seed `, `document`),
		join(`(?i)\bhelper `, `(session|agent)`),
		join(`(?i)\bsub`, `agent`),
		join(`(?i)language `, `model`),
		join(`(?i)\bAI `, `(assistant|agent|tool)`),
		join(`(?i)gener`, `ated (by|with) (an? )?(AI|assistant)`),
		join(`(?i)https?://(proxy|registry|mirror)`, `[.:/]`),
		join(`\b(FIX`, `ME|XX`, `X|TO`, `DO)\b`),
	} {
		out = append(out, regexp.MustCompile(p))
	}
	return out
}()

func TestNothingForeign(t *testing.T) {
	eachFile(t, func(rel string, data []byte) {
		if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 || isVendored(rel) {
			return
		}
		for i, line := range bytes.Split(data, []byte("\n")) {
			if len(line) > 4000 {
				continue
			}
			for _, re := range foreign {
				if m := re.Find(line); m != nil {
					t.Errorf("%s:%d: %q does not belong in the project", rel, i+1, m)
				}
			}
		}
	})
}

// isVendored says whether a file is another project's, kept as it came.
func isVendored(rel string) bool {
	return rel == "go.sum" || strings.Contains(rel, "/vendor/") || strings.Contains(rel, "/thirdparty/")
}

func TestForeignIsFound(t *testing.T) {
	for _, s := range []string{"see /wo" + "rk/x", "(/ro" + "ot/y)", "an AI " + "assistant", "// TO" + "DO later"} {
		found := false
		for _, re := range foreign {
			found = found || re.MatchString(s)
		}
		if !found {
			t.Errorf("%q is let through", s)
		}
	}
	for _, s := range []string{"../shared/logs", "net/http/work", "seconds per revolution"} {
		for _, re := range foreign {
			if re.MatchString(s) {
				t.Errorf("%q is refused by %v", s, re)
			}
		}
	}
}
