package page

import (
	"html/template"

	"traplight/internal/compare"
	"traplight/internal/dictionary"
	"traplight/internal/pass"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// Words is what a page says of one pass, for doors that lay out their own page. It
// needs the report only.
type Words struct {
	Said    report.Said
	Figures []figure
	Verdict verdict
	Found   []shownFinding
	Lost    string        // first line of where the speed went; "" without a ledger
	Ledger  template.HTML // the ledger drawn; "" without one
}

// Tell puts pass i of a report into words.
func Tell(r *report.Report, i int, w quantity.World) Words {
	k := &r.Passes[i]
	return Words{Said: r.Say(i, w), Figures: figures(k, w), Verdict: verdictOf(k.Health), Found: shownFindings(k.Health), Lost: k.SayLost(w), Ledger: ledgerChart(k, w)}
}

// Drawings are the pictures of one pass; those whose channels are missing are "".
type Drawings struct {
	Strip, Boost, Grip template.HTML
}

// Draw draws a pass.
func Draw(p *pass.Pass, set *dictionary.Set, w quantity.World) Drawings {
	return Drawings{stripChart(p, w), boostChart(p, set, w), gripChart(p)}
}

// ComparisonDrawings are the pictures and the table of a comparison.
type ComparisonDrawings struct {
	Gaps, Speeds template.HTML
	Table        report.Table
}

// DrawComparison draws a comparison.
func DrawComparison(c *compare.Comparison, w quantity.World) ComparisonDrawings {
	return ComparisonDrawings{gapChart(c, w), speedsChart(c, w), sectionTable(c, w)}
}

// Shape is the sign of a verdict, told apart without colour.
func Shape(verdict string) template.HTML {
	if s, ok := shapes[verdict]; ok {
		return s
	}
	return shapes[""]
}

// Style is the style sheet of the pages, which the pieces need.
func Style() ([]byte, error) { return files.ReadFile("style.css") }

// Parts adds the functions and the named pieces "figures", "sentences" and "table"
// to a template.
func Parts(t *template.Template) (*template.Template, error) {
	return t.Funcs(funcs(nil)).ParseFS(files, "parts.gohtml")
}
