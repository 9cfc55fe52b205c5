package house

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// floors is the policy of who may use whom. A room may import every room on a
// lower floor, never one on its own floor, unless an arrow allows it. A name
// that ends in "/..." stands for a room with its subrooms, which may use each
// other. Do not edit this text merely to make a build pass: a forbidden import
// says that code lives in the wrong room.
const floors = `
0    quantity  reftest
1    trace  atomicfile/...  num/...
1.5  physics/...
2    car
2.2  caution
2.3  logfile/...
2.5  dictionary
2.7  align
3    pass
3.1  motion  gears
3.3  force
3.5  grip  airpath  fuelling
4    reconstruct
5    health  sim/...  fitcar/...  compare  setup
6    plan  forecast  ledger  sizing  life
6.5  surface
7    store/...  report  card
7.5  page
8    app
9    web  cmd/...
10   bench/...  scripts/...

fitcar/... -> sim/...
plan -> forecast
forecast -> ledger
plan -> ledger
cmd/... -> web
`

// walls are stricter than the floors. "only" lists all rooms that a room may
// use; "from" lists all rooms that may use a room, tests apart.
const walls = `
demo   only  quantity  num/xrand
house  only
demo   from  app  web  cmd/...  bench/...
store/...  from  app  web  cmd/...  bench/...
house  from
`

// modules says which rooms may use which outside module; a module that is not
// named may not be used at all. Tests may use any of them.
const modules = `
gonum.org/v1/gonum              num/...  physics/...  health  life  fitcar  plan  sizing  forecast  bench/...
github.com/pelletier/go-toml    car
github.com/parquet-go           logfile/...  app  store/...
golang.org/x/text               logfile/...  dictionary  quantity  report
modernc.org/sqlite              store/...
github.com/gofrs/flock          store/...
github.com/fsnotify/fsnotify    app  store/...
github.com/alecthomas/kong      cmd/...
golang.org/x/term               cmd/...
codeberg.org/go-pdf/fpdf        card
github.com/google/jsonschema-go report  cmd/...  bench/...  web
github.com/evanw/esbuild        scripts/...  web
`

type goPackage struct {
	ImportPath string
	Imports    []string
	Standard   bool
}

func listPackages(t *testing.T) []goPackage {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports,Standard", "./...")
	cmd.Dir = root(t)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []goPackage
	for dec := json.NewDecoder(bytes.NewReader(out)); ; {
		var p goPackage
		if err := dec.Decode(&p); errors.Is(err, io.EOF) {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// room turns "traplight/internal/num/kalman" into "num/kalman" and
// "traplight/cmd/traplight" into "cmd/traplight".
func room(importPath string) string {
	r := strings.TrimPrefix(importPath, "traplight/")
	return strings.TrimPrefix(r, "internal/")
}

func matches(pattern, name string) bool {
	if base, ok := strings.CutSuffix(pattern, "/..."); ok {
		return name == base || strings.HasPrefix(name, base+"/")
	}
	return pattern == name
}

func anyMatches(patterns []string, name string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool { return matches(p, name) })
}

type policy struct {
	pattern []string
	floor   map[string]float64
	arrows  [][2]string
	only    map[string][]string
	from    map[string][]string
	modules map[string][]string
}

func parsePolicy(floors, walls, modules string) (policy, error) {
	p := policy{floor: map[string]float64{}, only: map[string][]string{}, from: map[string][]string{}, modules: map[string][]string{}}
	for _, line := range strings.Split(floors, "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case len(f) == 3 && f[1] == "->":
			p.arrows = append(p.arrows, [2]string{f[0], f[2]})
		default:
			n, err := strconv.ParseFloat(f[0], 64)
			if err != nil || len(f) < 2 {
				return p, fmt.Errorf("floors: %q", line)
			}
			for _, r := range f[1:] {
				p.pattern = append(p.pattern, r)
				p.floor[r] = n
			}
		}
	}
	for _, line := range strings.Split(walls, "\n") {
		f := strings.Fields(line)
		switch {
		case len(f) == 0:
		case len(f) >= 2 && f[1] == "only":
			p.only[f[0]] = f[2:]
		case len(f) >= 2 && f[1] == "from":
			p.from[f[0]] = f[2:]
		default:
			return p, fmt.Errorf("walls: %q", line)
		}
	}
	for _, line := range strings.Split(modules, "\n") {
		if f := strings.Fields(line); len(f) > 0 {
			p.modules[f[0]] = f[1:]
		}
	}
	return p, nil
}

func (p policy) patternOf(name string) string {
	for _, q := range p.pattern {
		if matches(q, name) {
			return q
		}
	}
	return ""
}

// complaint says why one import is not allowed, "" when it is.
func (p policy) complaint(user, used string) string {
	if only, ok := p.only[user]; ok && !anyMatches(only, used) {
		return fmt.Sprintf("%s may import only %v, not %s", user, only, used)
	}
	for walled, from := range p.from {
		if !matches(walled, used) {
			continue
		}
		if !anyMatches(from, user) && !matches(walled, user) {
			return fmt.Sprintf("%s may be imported only from %v, not from %s", used, from, user)
		}
		return ""
	}
	if _, ok := p.only[user]; ok {
		return ""
	}
	a, b := p.patternOf(user), p.patternOf(used)
	switch {
	case a == "":
		return fmt.Sprintf("%s stands on no floor: give it one in floors", user)
	case b == "":
		return fmt.Sprintf("%s stands on no floor: give it one in floors", used)
	case a == b && strings.HasSuffix(a, "/..."):
		return ""
	case p.floor[b] < p.floor[a]:
		return ""
	case slices.Contains(p.arrows, [2]string{a, b}):
		return ""
	}
	return fmt.Sprintf("%s (floor %v) may not import %s (floor %v)", user, p.floor[a], used, p.floor[b])
}

func (p policy) moduleComplaint(user, path string) string {
	for m, rooms := range p.modules {
		if path == m || strings.HasPrefix(path, m+"/") {
			if !anyMatches(rooms, user) {
				return fmt.Sprintf("%s may not import %s: it is for %v", user, path, rooms)
			}
			return ""
		}
	}
	return fmt.Sprintf("%s imports %s, which is not among the modules agreed on", user, path)
}

func isStandard(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return !strings.Contains(first, ".")
}

func TestFloors(t *testing.T) {
	p, err := parsePolicy(floors, walls, modules)
	if err != nil {
		t.Fatal(err)
	}
	seen := 0
	for _, pkg := range listPackages(t) {
		user := room(pkg.ImportPath)
		seen++
		if _, walled := p.only[user]; !walled && p.patternOf(user) == "" {
			t.Errorf("%s stands on no floor: give it one in floors", user)
		}
		for _, imp := range pkg.Imports {
			switch {
			case strings.HasPrefix(imp, "traplight/"):
				if c := p.complaint(user, room(imp)); c != "" {
					t.Error(c)
				}
			case !isStandard(imp) && imp != "C":
				if c := p.moduleComplaint(user, imp); c != "" {
					t.Error(c)
				}
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d packages seen: the list is not what it should be", seen)
	}
}

// TestFloorsRefuses makes sure that the policy forbids what it is there for.
func TestFloorsRefuses(t *testing.T) {
	p, err := parsePolicy(floors, walls, modules)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		user, used string
		allowed    bool
	}{
		{"motion", "gears", false},
		{"num/kalman", "car", false},
		{"num/kalman", "num/banded", true},
		{"reconstruct", "store", false},
		{"report", "store", false},
		{"app", "store", true},
		{"demo", "sim", false},
		{"demo", "num/xrand", true},
		{"demo", "trace", false},
		{"reconstruct", "demo", false},
		{"plan", "forecast", true},
		{"forecast", "plan", false},
		{"sim", "fitcar", false},
		{"car", "physics/tyre", true},
		{"physics/tyre", "car", false},
		{"plan", "store", false},
		{"store/storetest", "store", true},
		{"fitcar", "sim", true},
		{"cmd/traplight", "web", true},
		{"web", "cmd/traplight", false},
		{"logfile/csv", "logfile", true},
		{"car", "newroom", false},
	} {
		if got := p.complaint(c.user, c.used) == ""; got != c.allowed {
			t.Errorf("%s importing %s: allowed = %v, want %v", c.user, c.used, got, c.allowed)
		}
	}
	if p.moduleComplaint("motion", "modernc.org/sqlite") == "" {
		t.Error("motion may import a database")
	}
	if p.moduleComplaint("cmd/traplight", "example.org/else") == "" {
		t.Error("an unknown module is let in")
	}
}

func root(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs("../..")
	if err != nil {
		t.Fatal(err)
	}
	return dir
}
