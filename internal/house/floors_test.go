package house

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// floors is the policy of who may use whom. A room may import every room on a
// lower floor, never one on its own floor, unless an arrow allows it. A name
// that ends in "/..." stands for a room with its subrooms, which may use each
// other. Do not edit this text merely to make a build pass: a forbidden import
// says that code lives in the wrong room.
const floors = `
0    quantity  prose  docs  reftest
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
