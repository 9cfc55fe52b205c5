package report

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/car"
	"traplight/internal/caution"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// NoPass says that a log holds no pass, for every face alike.
const NoPass = "no pass was found: no standing start followed by a run"

// TextOptions say how the text is printed.
type TextOptions struct {
	Units string // "us", "metric", "si"; "auto" and "" take the car's own, else us
	Width int    // columns; 0 means 100, and tables as wide as they are
	Bold  bool   // headings in bold, for a terminal that can
}

// World gives the units for a choice on the command line ("us", "metric", "si",
// "auto" or "") and those of the car sheet ("us", "metric" or "").
func World(choice, sheet string) quantity.World {
	for _, name := range []string{choice, sheet} {
		if w, ok := quantity.WorldByName(name); ok {
			return w
		}
	}
	return quantity.Imperial
}

// printer writes the text of a report.
type printer struct {
	strings.Builder
	world quantity.World
	width int
	limit int // of tables; 0 none
	bold  bool
}

// WriteText prints the report for reading, in the order in which the owner
// asks: fit to go again, what happened, where the speed went; then what could
// not be told, and what to mind.
func WriteText(w io.Writer, r *Report, o TextOptions) error {
	car := ""
	if r.Units != nil {
		car = *r.Units
	}
	p := &printer{world: World(o.Units, car), width: prose.Width(o.Width), limit: o.Width, bold: o.Bold}
	for _, n := range leading(r) {
		p.WriteString(prose.Wrap("Mind: "+upperFirst(n), "", "  ", p.width))
	}
	if len(r.Passes) == 0 {
		p.heading(title(r, nil))
		p.WriteString("  " + upperFirst(NoPass) + ".\n")
	}
	for i := range r.Passes {
		if i > 0 {
			p.WriteString("\n")
		}
		p.pass(r, &r.Passes[i])
	}
	if n := len(r.Passes); n > 0 {
		p.next(&r.Passes[n-1])
	}
	p.tracks(r.Tracks)
	p.notes(r)
	if len(r.Passes) > 0 {
		p.cautions(r)
	}
	_, err := io.WriteString(w, p.String())
	return err
}

// leading are the notes that stand before the answers: about typos in sheet and notes, and on
// a log that may be another car's.
func leading(r *Report) []string {
	var out []string
	for _, n := range r.Notes {
		if !isFirst(n) {
			break
		}
		out = append(out, n)
	}
	return out
}

func (p *printer) heading(text string) {
	if p.bold {
		text = "\x1b[1m" + text + "\x1b[0m"
	}
	p.WriteString(text + "\n")
}

func (p *printer) say(format string, args ...any) {
	p.WriteString(prose.Wrap(fmt.Sprintf(format, args...), "  ", "", p.width))
}

func title(r *Report, s *Pass) string {
	file := r.Log.File
	if s != nil && s.File != "" {
		file = s.File
	}
	parts := []string{}
	if car := r.Car; car != "" {
		if s != nil && s.Car != "" {
			car = s.Car
		}
		parts = append(parts, car)
	}
	parts = append(parts, file)
	if s != nil && (s.Index > 0 || len(r.Passes) > 1) {
		parts = append(parts, fmt.Sprintf("pass %d", s.Index+1))
	}
	if r.Log.Start != nil && file == r.Log.File {
		parts = append(parts, When(*r.Log.Start))
	}
	return strings.Join(parts, " · ")
}

// When is a date and time as people write it: without the T, and without seconds that
// are none.
func When(start string) string {
	t := strings.Replace(start, "T", " ", 1)
	if s, ok := strings.CutSuffix(t, ":00"); ok && strings.Count(t, ":") == 2 {
		return s
	}
	return t
}

func (p *printer) pass(r *Report, s *Pass) {
	p.heading(title(r, s))
	p.WriteString("\n")
	p.fit(s)
	p.WriteString("\n")
	p.heading("What happened")
	p.headline(s)
	p.WriteString("\n")
	p.grip(s)
	p.splits(s)
	p.gears(s)
	p.shifts(s)
	p.power(s)
	p.air(s)
	p.whereSpeedWent(s)
	p.foretold(s)
}

// next says how the pass after s is set, and what stands in the way of its card.
func (p *printer) next(s *Pass) {
	p.WriteString("\n")
	p.heading("Next pass")
	word := s.Health.Word()
	mayGo := word == "clear" || word == "inspect"
	switch {
	case mayGo && len(s.Gears) == 0:
		p.say("No plan without gears: they take engine speed in the log, and gears and final drive in the car sheet (`traplight car` prints one to fill in).")
	case mayGo:
		p.say("`traplight plan`, with this log as --history, chooses its settings within the limits and prints its card.")
	default:
		p.say("No card yet: look the car over by hand first, and write down in the notes what was inspected and found (inspected = \"...\").")
	}
}

func (p *printer) fit(s *Pass) {
	p.heading("Fit to go again?")
	if s.Health == nil {
		p.say("Not judged from this log. Look the car over by hand before it goes again.")
		return
	}
	h := s.Health
	if h.Verdict == nil {
		p.say("No verdict: nothing could be judged (%s).", h.Basis)
	} else if *h.Verdict == "clear" {
		p.say("Clear: nothing was found in what was judged. Basis: %s.", h.Basis)
	} else {
		p.say("%s. Basis: %s.", upperFirst(*h.Verdict), h.Basis)
	}
	if h.Verdict == nil || *h.Verdict != "clear" {
		p.say("%s", caution.Doubt)
	}
	for _, f := range h.Findings {
		line := fmt.Sprintf("%s (%s): %s", upperFirst(f.Kind), f.Severity, f.Evidence)
		if len(f.LookAt) > 0 {
			line += " Look first at: " + strings.Join(f.LookAt, "; ") + "."
		}
		if len(f.Others) > 0 {
			line += " It could also be: " + strings.Join(f.Others, ", ") + "."
		}
		p.say("%s", line)
	}
	for _, t := range h.Trends {
		p.say("From pass to pass: %s", t)
	}
	if len(h.NotJudged) > 0 {
		p.say("Not judged: %s.", strings.Join(Unjudged(h.NotJudged), "; "))
	}
	p.say("%s", caution.ByHand)
}

func (p *printer) notes(r *Report) {
	skip := len(leading(r))
	var left []string
	left = append(left, r.Notes[min(skip, len(r.Notes)):]...)
	if len(left) == 0 {
		return
	}
	p.WriteString("\n")
	p.heading("What was assumed, and what could not be told")
	for _, n := range left {
		p.WriteString(prose.Wrap("- "+upperFirst(car.Retell(p.world, n)), "  ", "  ", p.width))
	}
	for i := range r.Passes {
		for _, n := range r.Passes[i].Sensors {
			p.WriteString(prose.Wrap("- "+upperFirst(n), "  ", "  ", p.width))
		}
	}
}

func upperFirst(s string) string {
	// A channel or file name keeps its own spelling.
	if i := strings.IndexAny(s, " :"); i > 0 && strings.ContainsAny(s[:i], "._/") {
		return s
	}
	return prose.Upper(s)
}
