package house

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

// TestRoomsAreUsed makes sure that every room serves a program, a bench among them, and that
// none but benches is built with known answers and invented cars for checks, which are in rooms
// whose names end in "test".
func TestRoomsAreUsed(t *testing.T) {
	used := map[string]bool{}
	for _, line := range goList(t, "-deps", "./cmd/...", "./bench/...") {
		used[line] = true
	}
	served := map[string]bool{}
	for _, line := range goList(t, "-deps", "./cmd/...") {
		served[line] = true
	}
	rooms := 0
	for _, path := range goList(t, "./...") {
		rooms++
		switch r := room(path); {
		case r == "house" || strings.HasPrefix(r, "scripts"):
		case strings.HasSuffix(path, "test"):
			if served[path] {
				t.Errorf("%s is for checks, but a command is built with it", r)
			}
		case !used[path]:
			t.Errorf("%s serves no program: end its name in \"test\" if it is for checks, else take it out", r)
		}
	}
	if rooms < 10 || len(served) < 10 {
		t.Errorf("%d rooms, %d of them in commands: the lists are not what they should be", rooms, len(served))
	}
}

// TestRoomsAreTold makes sure that every package says what it is for, and that
// docs/architecture.md has a place for it.
func TestRoomsAreTold(t *testing.T) {
	page, err := os.ReadFile(filepath.Join(root(t), "docs", "architecture.md"))
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("go", "list", "-f", "{{.ImportPath}}|{{.Name}}|{{.Doc}}", "./...")
	cmd.Dir = root(t)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) < 10 {
		t.Errorf("only %d packages seen", len(lines))
	}
	for _, line := range lines {
		part := strings.SplitN(line, "|", 3)
		r, name, says := room(part[0]), part[1], part[2]
		if says == "" || name != "main" && !strings.HasPrefix(says, "Package "+name+" ") {
			t.Errorf("%s does not say what it is for: its package comment begins %q", r, says)
		}
		top, _, below := strings.Cut(r, "/")
		told := strings.Contains(string(page), "`"+r+"`") || below && strings.Contains(string(page), "`"+top+"/…`")
		if !told && !(below && strings.Contains(string(page), "`"+top+"`")) {
			t.Errorf("%s stands nowhere in docs/architecture.md", r)
		}
	}
}

// goList is the import paths that go list prints for its arguments.
func goList(t *testing.T, args ...string) []string {
	t.Helper()
	cmd := exec.Command("go", append([]string{"list"}, args...)...)
	cmd.Dir = root(t)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	return strings.Fields(string(out))
}
