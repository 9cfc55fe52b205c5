package page_test

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/compare"
	"traplight/internal/demo"
	"traplight/internal/logfile"
	"traplight/internal/page"
	"traplight/internal/report"
)

// day is the demo's day at the strip, analysed once: everything on it is invented.
var day = sync.OnceValues(func() ([]report.Source, error) {
	event := demo.Season(1)
	sheet, err := car.ParseSheet("car.toml", event.Sheet)
	if err != nil {
		return nil, err
	}
	notes, err := car.ParseNotes("passes.toml", event.Notes)
	if err != nil {
		return nil, err
	}
	var out []report.Source
	for _, rec := range event.Recordings {
		log, err := logfile.Read(rec.Name+".csv", rec.CSV)
		if err != nil {
			return nil, err
		}
		s, err := app.AnalyseLog(log, sheet, notes)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
		if len(out) == 3 {
			break
		}
	}
	return out, nil
})

func sources(t *testing.T) []report.Source {
	t.Helper()
	s, err := day()
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range s {
		if len(x.Passes) == 0 {
			t.Fatalf("%s: no pass found in the demo's log", x.Log.File)
		}
	}
	return s
}

func reportPage(t *testing.T, s []report.Source, o page.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := page.Write(&b, report.Assemble(s, nil, report.Options{}), s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// withFindings is a report page with a health verdict and a ledger of our own
// invention, as no log is needed to see how they are set.
func withFindings(t *testing.T, s []report.Source) string {
	t.Helper()
	r := report.Assemble(s, nil, report.Options{})
	verdict, chance, start := "inspect", 0.004, 12.0
	f := func(v float64) *float64 { return &v }
	r.Passes[0].Health = &report.Health{Verdict: &verdict, Basis: "own history of 6 passes", NotJudged: []string{"oil: no pressure channel"},
		Findings: []report.Finding{{Kind: "fuel supply", Severity: "moderate", StartS: &start, Channels: []string{"Fuel pressure"}, Evidence: "From 12.0 s on the fuel pressure over the manifold falls by 41 kPa.",
			LookAt: []string{"fuel filter", "pump's supply voltage"}, Chance: &chance}}}
	r.Passes[0].Ledger = []report.Ledger{
		{Cause: "grip", Group: "ours", SpeedMps: f(1.9), SDMps: f(0.4), AloneMps: f(2.1)},
		{Cause: "held-back torque", Group: "ours", SpeedMps: f(3.1), SDMps: f(0.6), AloneMps: f(3.4)},
		{Cause: "shifts", Group: "ours", SpeedMps: f(0.7), SDMps: f(0.05), AloneMps: f(0.8)},
		{Cause: "boost recovery", Group: "ours", SpeedMps: f(0.9), SDMps: f(0.1), AloneMps: f(1.0)},
		{Cause: "driver", Group: "ours", SpeedMps: f(-0.3), SDMps: f(0.1), AloneMps: f(-0.3)},
		{Cause: "drag", Group: "given", SpeedMps: f(9.8), SDMps: f(0.9), AloneMps: f(9.8)},
		{Cause: "wind", Group: "given", SpeedMps: f(0.3), SDMps: f(0.4), AloneMps: f(0.3)},
	}
	var b bytes.Buffer
	if err := page.Write(&b, r, s, page.Options{Units: "metric"}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestFindingsAndLedger: the verdict is a word, a shape and a sentence, and the
// ledger's greatest own cause is told first.
func TestFindingsAndLedger(t *testing.T) {
	text := withFindings(t, sources(t)[:1])
	for _, want := range []string{
		`<p class="answer">Inspect</p>`, `M20 4 37 35H3Z`, "own history of 6 passes", "the fuel pressure over the manifold falls by 41 kPa",
		"Look first at: fuel filter; pump", "about 1 pass in 300", "Find out why before the car goes out", "wheel nuts", "Most of what is ours to change went to held-back torque", "given, each alone",
		"gained, for the driver did better than usual",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
}

func comparePage(t *testing.T, s []report.Source, o page.Options) string {
	t.Helper()
	var passes []compare.Pass
	for _, x := range s {
		passes = append(passes, compare.Pass{Name: strings.TrimSuffix(x.Log.File, ".csv"), Pass: x.Passes[0]})
	}
	c, err := compare.Along(passes)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := page.WriteComparison(&b, c, "Invented", "us", nil, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// pages writes both kinds of page to files.
func pages(t *testing.T) map[string]string {
	t.Helper()
	s := sources(t)
	dir := t.TempDir()
	out := map[string]string{}
	for name, text := range map[string]string{
		"report":  reportPage(t, s[len(s)-1:], page.Options{}),
		"compare": comparePage(t, s, page.Options{}),
		"finding": withFindings(t, s[:1]),
	} {
		out[name] = filepath.Join(dir, name+".html")
		if err := os.WriteFile(out[name], []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

var (
	outside = regexp.MustCompile(`(?i)(src|href)\s*=\s*["'][^#"']|url\(|@import|https?://|<script|\son[a-z]+\s*=`)
	broken  = regexp.MustCompile(`NaN|[+-]Inf|ZgotmplZ|<no value>|%!`)
	tag     = regexp.MustCompile(`</?([a-z][a-z0-9]*)[^>]*?(/?)>`)
)

// TestSelfContained: pages hold all they need, nothing that a browser cannot draw,
// and their tags close.
func TestSelfContained(t *testing.T) {
	s := sources(t)
	for name, text := range map[string]string{
		"one pass, us":           reportPage(t, s[:1], page.Options{Units: "us"}),
		"several logs, metric":   reportPage(t, s, page.Options{Units: "metric"}),
		"findings and ledger":    withFindings(t, s[:1]),
		"compared, si":           comparePage(t, s, page.Options{Units: "si"}),
		"a log without any pass": reportPage(t, []report.Source{{Log: s[0].Log, Set: s[0].Set, Sheet: s[0].Sheet}}, page.Options{}),
	} {
		if m := outside.FindString(text); m != "" {
			t.Errorf("%s: not self-contained: %q", name, m)
		}
		if m := broken.FindStringIndex(text); m != nil {
			t.Errorf("%s: %q", name, text[max(0, m[0]-60):min(len(text), m[1]+20)])
		}
		if len(text) > 2<<20 {
			t.Errorf("%s: %d bytes", name, len(text))
		}
		void := map[string]bool{"meta": true, "br": true, "line": false}
		var open []string
		body := text[strings.Index(text, "</style>")+len("</style>"):]
		for _, m := range tag.FindAllStringSubmatch(body, -1) {
			switch {
			case m[2] == "/" || void[m[1]]:
			case strings.HasPrefix(m[0], "</"):
				if len(open) == 0 {
					// head and html were opened before the style.
					if m[1] != "head" && m[1] != "html" {
						t.Fatalf("%s: %s closes nothing", name, m[0])
					}
					continue
				}
				if last := open[len(open)-1]; last != m[1] {
					t.Fatalf("%s: %s closes <%s>", name, m[0], last)
				}
				open = open[:len(open)-1]
			default:
				open = append(open, m[1])
			}
		}
		if len(open) > 0 {
			t.Errorf("%s: left open: %v", name, open)
		}
	}
}

// TestSaysWhatTheReportSays: every sentence and cell of the text is on the page.
func TestSaysWhatTheReportSays(t *testing.T) {
	s := sources(t)[:1]
	r := report.Assemble(s, nil, report.Options{})
	w := report.World("us", "")
	said := r.Say(0, w)
	bare := regexp.MustCompile(`<[^>]*>`).ReplaceAllString(reportPage(t, s, page.Options{Units: "us"}), "")
	bare = strings.NewReplacer("&#39;", "'", "&#34;", `"`, "&amp;", "&", "&gt;", ">", "&lt;", "<", "&#43;", "+", "\u00a0", " ").Replace(bare)
	n := 0
	for _, part := range [][]string{said.Headline, said.Grip, said.Power, said.Air} {
		for _, sentence := range part {
			n++
			if !strings.Contains(bare, sentence) {
				t.Errorf("the page does not say %q", sentence)
			}
		}
	}
	for _, table := range []report.Table{said.Splits, said.Gears, said.Shifts} {
		for _, row := range table.Rows {
			for _, cell := range row {
				n++
				if !strings.Contains(bare, cell) {
					t.Errorf("the page lacks the cell %q", cell)
				}
			}
		}
	}
	if n < 40 {
		t.Errorf("only %d sentences and cells compared", n)
	}
}

// TestSameBytes: the same input gives the same page.
func TestSameBytes(t *testing.T) {
	s := sources(t)
	first := reportPage(t, s[:1], page.Options{})
	if again := reportPage(t, s[:1], page.Options{}); again != first {
		t.Error("two pages of one report differ")
	}
}

func BenchmarkPage(b *testing.B) {
	s, err := day()
	if err != nil {
		b.Fatal(err)
	}
	r := report.Assemble(s[:1], nil, report.Options{})
	for b.Loop() {
		var out bytes.Buffer
		if err := page.Write(&out, r, s[:1], page.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
