package page

import (
	"html"
	"html/template"
	"regexp"
	"strings"

	"traplight/internal/prose"
	"traplight/internal/quantity"
	"traplight/internal/report"
)

// spreadWords finds what follows a number as its spread.
var spreadWords = regexp.MustCompile(`\(± [^)]*\)|± [0-9.]+`)

// whole keeps a unit with a hyphen in it on one line.
var whole = strings.NewReplacer("lb-ft", `<span class="nb">lb-ft</span>`)

// say sets the spreads of a sentence in smaller type, and breaks no unit across two lines.
func say(s string) template.HTML {
	s = quantity.Together(s)
	return template.HTML(spreadWords.ReplaceAllStringFunc(whole.Replace(html.EscapeString(s)), func(m string) string {
		return `<small class="sd">` + m + `</small>`
	}))
}

// firstNumber finds the number and unit with which a sentence begins.
var firstNumber = regexp.MustCompile(`^-?[0-9][0-9.,]* \S+`)

// answer is a sentence that stands first: its leading number is set large.
func answer(s string) template.HTML {
	if m := firstNumber.FindString(s); m != "" {
		number, unit, _ := strings.Cut(m, " ")
		return template.HTML(`<b class="big">`+html.EscapeString(number)+"</b>\u00a0"+html.EscapeString(unit)) + say(s[len(m):])
	}
	return say(s)
}

// figure is a number set large.
type figure struct {
	Name, Number, Unit, Spread string
}

func figureOf(w quantity.World, name string, d quantity.Dimension, v, sd *float64) (figure, bool) {
	if v == nil {
		return figure{}, false
	}
	dev := 0.0
	if sd != nil {
		dev = *sd
	}
	n, s, u := w.Parts(d, *v, dev)
	return figure{name, n, u, s}, true
}

// figures are the few numbers that are asked for next, after those of the first line.
func figures(s *report.Pass, w quantity.World) []figure {
	var out []figure
	add := func(f figure, ok bool) {
		if ok {
			out = append(out, f)
		}
	}
	for _, name := range []string{"60 ft", "330 ft", "1/8 mile", "1/4 mile"} {
		for i := range s.Splits {
			if k := &s.Splits[i]; k.Mark == name {
				add(figureOf(w, markName(name), quantity.DimTime, k.TimeS, k.TimeSDS))
			}
		}
	}
	if s.Power != nil {
		add(figureOf(w, "peak wheel power", quantity.DimPower, s.Power.PeakWheelW, s.Power.PeakWheelSDW))
	}
	return out
}

// verdict is the answer to "fit to go again?": a word, a shape, sentences.
type verdict struct {
	Word  string
	Shape template.HTML
}

// The shapes tell the verdicts apart without colour.
var shapes = map[string]template.HTML{
	"clear":      `<svg class="shape" viewBox="0 0 40 40" aria-hidden="true"><circle cx="20" cy="20" r="15"/></svg>`,
	"inspect":    `<svg class="shape" viewBox="0 0 40 40" aria-hidden="true"><path d="M20 4 37 35H3Z"/></svg>`,
	"stand down": `<svg class="shape full" viewBox="0 0 40 40" aria-hidden="true"><path d="M13 3H27L37 13V27L27 37H13L3 27V13Z"/></svg>`,
	"":           `<svg class="shape none" viewBox="0 0 40 40" aria-hidden="true"><circle cx="20" cy="20" r="15"/></svg>`,
}

func verdictOf(h *report.Health) verdict {
	if h == nil || h.Verdict == nil {
		return verdict{"Not judged", shapes[""]}
	}
	shape, ok := shapes[*h.Verdict]
	if !ok {
		shape = shapes[""]
	}
	return verdict{prose.Upper(*h.Verdict), shape}
}
