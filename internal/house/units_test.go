package house

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// unitWord finds a unit in a comment. It must stand by itself: after a blank, a
// comma or a bracket, and before a blank or punctuation.
var unitWord = func() *regexp.Regexp {
	units := []string{
		// products and quotients of SI symbols, as in N·m, kg/m³, 1/(m/s)²
		`(?:1/)?\(?(?:kg|g|km|cm|mm|µm|m|ms|µs|ns|s|h|min|K|Pa|kPa|hPa|MPa|bar|N|kN|W|kW|J|kJ|MJ|rad|deg|Hz|V|mV|mol|l|dB|kmol)(?:[²³⁴⁻¹]*)(?:[·/*^()-]*(?:kg|g|km|mm|m|ms|s|h|min|K|Pa|N|W|J|rad|Hz|V|mol|kmol|[2-4])[²³⁴⁻¹)]*)*`,
		// the users' units
		`psi|inHg|mmHg|lb-ft|lb|ft|in|mph|km/h|knots?|°C|°F|°|hp|rpm|rev/s|%|rev`,
		// pure numbers
		`1|0–1|0-1|[-−]1[–.]+1|0 or 1|0/1|pure number|dimensionless|ratio|rise over run|share|fraction|relative|normalised|standardised|probability|chance|quantile|counts?|index|weights?|log-likelihood|nats|standard deviations`,
		// the caller's unit, for mathematics that knows no quantity
		`(?:own |any |same |SI |squared |caller's |holder's |square of the )?units?|as logged|as printed`,
	}
	return regexp.MustCompile(`(?:^|[\s,;:(\[/–])(?:` + strings.Join(units, "|") + `)(?:$|[\s,;:.)\]'’])`)
}()

// firstUnitFloor and lastUnitFloor bound the rooms whose numbers must name
// their unit.
const firstUnitFloor, lastUnitFloor = 0, 6

// TestUnits reads the project's own source: every exported number of the lower
// floors has its unit in its comment.
func TestUnits(t *testing.T) {
	p, err := parsePolicy(floors, walls, modules)
	if err != nil {
		t.Fatal(err)
	}
	base := filepath.Join(root(t), "internal")
	err = filepath.WalkDir(base, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if d.Name() == "testdata" {
			return filepath.SkipDir
		}
		rel, _ := filepath.Rel(base, path)
		name := filepath.ToSlash(rel)
		floor, ok := p.floor[p.patternOf(name)]
		if !ok || floor < firstUnitFloor || floor > lastUnitFloor {
			return nil
		}
		for _, c := range unitComplaints(t, path) {
			t.Error(c)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// unitComplaints lists the exported numbers of one folder that name no unit.
func unitComplaints(t *testing.T, dir string) []string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, file, nil, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			// A file that does not parse is the compiler's business.
			continue
		}
		rel, _ := filepath.Rel(root(t), file)
		at := func(pos token.Pos) string {
			return fmt.Sprintf("%s:%d", filepath.ToSlash(rel), fset.Position(pos).Line)
		}
		out = append(out, complaintsOf(f, at)...)
	}
	return out
}

func complaintsOf(f *ast.File, at func(token.Pos) string) []string {
	var out []string
	for _, decl := range f.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			if c := funcComplaint(d); c != "" {
				out = append(out, at(d.Pos())+": "+c)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				ts, ok := spec.(*ast.TypeSpec)
				if !ok || !ts.Name.IsExported() {
					continue
				}
				switch u := ts.Type.(type) {
				case *ast.StructType:
					for _, field := range u.Fields.List {
						if c := fieldComplaint(ts.Name.Name, field); c != "" {
							out = append(out, at(field.Pos())+": "+c)
						}
					}
				case *ast.InterfaceType, *ast.FuncType:
					// Their methods are told by the type's comment.
				default:
					if isNumber(ts.Type) && !hasUnit(d.Doc, ts.Doc, ts.Comment) {
						out = append(out, at(ts.Pos())+": type "+ts.Name.Name+" names no unit in its comment")
					}
				}
			}
		}
	}
	return out
}

func fieldComplaint(owner string, field *ast.Field) string {
	if !isNumber(field.Type) || hasUnit(field.Doc, field.Comment) {
		return ""
	}
	for _, n := range field.Names {
		if n.IsExported() {
			return fmt.Sprintf("%s.%s names no unit in its comment", owner, n.Name)
		}
	}
	return ""
}

func funcComplaint(d *ast.FuncDecl) string {
	if !d.Name.IsExported() {
		return ""
	}
	if d.Recv != nil && !ast.IsExported(receiver(d.Recv.List[0].Type)) {
		return ""
	}
	numbers := 0
	for _, list := range []*ast.FieldList{d.Type.Params, d.Type.Results} {
		if list == nil {
			continue
		}
		for _, f := range list.List {
			if isNumber(f.Type) {
				numbers += max(1, len(f.Names))
			}
		}
	}
	if numbers == 0 || hasUnit(d.Doc) {
		return ""
	}
	return fmt.Sprintf("%s takes or gives %d numbers and names no unit in its comment", d.Name.Name, numbers)
}

func receiver(e ast.Expr) string {
	switch x := e.(type) {
	case *ast.StarExpr:
		return receiver(x.X)
	case *ast.IndexExpr:
		return receiver(x.X)
	case *ast.IndexListExpr:
		return receiver(x.X)
	case *ast.Ident:
		return x.Name
	}
	return ""
}

// isNumber says whether a type is float64 or quantity.Estimate, or made of
// slices, arrays, pointers and maps of them.
func isNumber(e ast.Expr) bool {
	switch x := e.(type) {
	case *ast.Ident:
		return x.Name == "float64" || x.Name == "Estimate"
	case *ast.SelectorExpr:
		pkg, ok := x.X.(*ast.Ident)
		return ok && pkg.Name == "quantity" && x.Sel.Name == "Estimate"
	case *ast.StarExpr:
		return isNumber(x.X)
	case *ast.ArrayType:
		return isNumber(x.Elt)
	case *ast.MapType:
		return isNumber(x.Value)
	case *ast.Ellipsis:
		return isNumber(x.Elt)
	}
	return false
}

func hasUnit(groups ...*ast.CommentGroup) bool {
	for _, g := range groups {
		if g != nil && unitWord.MatchString(g.Text()) {
			return true
		}
	}
	return false
}

func TestUnitWord(t *testing.T) {
	for _, c := range []struct {
		text string
		want bool
	}{
		{"m from the staged position", true},
		{"rad/s smoothed on the grid", true},
		{"1/(m/s)², relative growth", true},
		{"N·m at the input shaft", true},
		{"kg/m³", true},
		{"the speed, m/s, of the car", true},
		{"0–1, static", true},
		{"tells the speed of the car", false},
		{"how fast", false},
		{"", false},
		{"a mean over the samples", false},
	} {
		if got := unitWord.MatchString(c.text); got != c.want {
			t.Errorf("%q: unit found = %v, want %v", c.text, got, c.want)
		}
	}
}

func TestUnitComplaints(t *testing.T) {
	const src = `package p

// T is a thing.
type T struct {
	A float64 // m
	B float64 // how far
	c float64
	D []float64 // N·m
	E *quantity.Estimate
	F string
}

// Speed is in m/s.
func Speed(x float64) float64 { return x }

// Other is not told.
func (t *T) Other() (float64, error) { return 0, nil }

func (t *T) hidden(x float64) {}
`
	f, err := parser.ParseFile(token.NewFileSet(), "p.go", src, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range complaintsOf(f, func(token.Pos) string { return "" }) {
		got = append(got, strings.Fields(c)[1])
	}
	if want := "T.B T.E Other"; strings.Join(got, " ") != want {
		t.Errorf("complaints about %v, want %s", got, want)
	}
}
