// Package page sets a report as one self-contained HTML page: everything is in the
// file, drawings included; it needs no script and asks nothing of any other machine.
// It prints as it stands.
//
// The page follows the owner's questions in the order in which they are asked at
// the trailer; each is answered in words and a number before any picture. Words
// and tables are those of package report, and numbers are those of the pass: the page
// computes nothing but where to put ink.
package page

import (
	"embed"
	"fmt"
	"html/template"
	"io"
	"strings"

	"traplight/internal/car"
	"traplight/internal/caution"
	"traplight/internal/prose"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

//go:embed page.gohtml compare.gohtml parts.gohtml style.css
var files embed.FS

// Options say how a page is set.
type Options struct {
	Units string // "us", "metric", "si"; "auto" and "" take the car's own, else us
}

// Write sets the report of sources, which are the ones it was assembled from, in the
// same order.
func Write(out io.Writer, r *report.Report, sources []report.Source, o Options) error {
	w := report.World(o.Units, text(r.Units))
	v := view{Car: r.Car, Title: title(r), Unread: r.Leading(), Cautions: r.SayCautions(w)}
	for _, n := range r.Notes[min(len(v.Unread), len(r.Notes)):] {
		v.Notes = append(v.Notes, car.Retell(w, n))
	}
	for _, l := range logsOf(r) {
		v.Logs = append(v.Logs, logView{l, describe(l)})
	}
	i := 0
	for s := range sources {
		for _, p := range sources[s].Passes {
			if i >= len(r.Passes) {
				return fmt.Errorf("page: the report has %d passes, its sources more", len(r.Passes))
			}
			k := &r.Passes[i]
			said := r.Say(i, w)
			pv := passView{
				ID: fmt.Sprintf("pass%d", i+1), Number: i + 1, File: k.File, Said: said, Figures: figures(k, w),
				Verdict: verdictOf(k.Health), Health: k.Health, Found: shownFindings(k.Health),
				Strip: stripChart(p, w), Boost: boostChart(p, sources[s].Set, w), Grip: gripChart(p),
				Ledger: ledgerChart(k, w), Lost: k.SayLost(w), Traces: traces(p, sources[s].Set, w), Sensors: k.Sensors,
			}
			v.Passes = append(v.Passes, pv)
			i++
		}
	}
	return render(out, "page.gohtml", v)
}

// view is what the template sees.
type view struct {
	Car, Title string
	Unread     []string
	Passes     []passView
	Notes      []string
	Logs       []logView
	Cautions   []string
}

type passView struct {
	ID                 string
	Number             int
	File               string
	Said               report.Said
	Figures            []figure
	Verdict            verdict
	Found              []shownFinding
	Health             *report.Health
	Strip, Boost, Grip template.HTML
	Ledger             template.HTML
	Lost               string
	Traces             []evidence
	Sensors            []string
}

type logView struct {
	report.LogInfo
	Words string
}

func logsOf(r *report.Report) []report.LogInfo {
	if len(r.Logs) > 0 {
		return r.Logs
	}
	return []report.LogInfo{r.Log}
}

func describe(l report.LogInfo) string {
	parts := []string{l.File}
	if l.Start != nil {
		parts = append(parts, report.When(*l.Start))
	}
	if l.DurationS != nil {
		parts = append(parts, fmt.Sprintf("%.0f s", *l.DurationS))
	}
	return strings.Join(append(parts, fmt.Sprintf("%d channels", len(l.Channels))), " · ")
}

func title(r *report.Report) string {
	parts := []string{}
	for _, s := range []string{r.Car, r.Log.File, report.When(text(r.Log.Start))} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, " · ")
}

func text(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// render fills a template of this package.
func render(out io.Writer, name string, v any) error {
	style, err := files.ReadFile("style.css")
	if err != nil {
		return err
	}
	t, err := template.New(name).Funcs(funcs(style)).ParseFS(files, "parts.gohtml", name)
	if err != nil {
		return err
	}
	return t.Execute(out, v)
}

// funcs are the functions of the templates.
func funcs(style []byte) template.FuncMap {
	return template.FuncMap{
		"say":      say,
		"answer":   answer,
		"style":    func() template.CSS { return template.CSS(style) },
		"number":   func(i int) int { return i + 1 },
		"rarity":   func(p *float64) string { return report.Rarity(*p) },
		"doubt":    func() string { return caution.Doubt },
		"unjudged": report.Unjudged,
		"byhand":   func() string { return caution.ByHand },
		"upper": func(s string) string {
			if s == "" {
				return s
			}
			return prose.Upper(s)
		},
		"text": text,
		"rate": func(v *float64) string {
			if v == nil {
				return ""
			}
			return fmt.Sprintf("%.0f", *v)
		},
		"unit": func(w quantity.World, d quantity.Dimension) string { return unitOf(w, d) },
	}
}
