package sizing

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/quantity"
)

// Chapter is a part of the answer in words: it begins with a sentence that answers.
type Chapter struct {
	Title string   `json:"title"`
	Lines []string `json:"lines"`
	Items bool     `json:"items"` // the lines are items of a list
}

// printer puts a result into words, in the units of a world.
type printer struct {
	w        quantity.World
	r        *Result
	chapters []Chapter
	how      []string // methods and sources, for the end
}

// Chapters are the answer in words, in the units of w: what to do first, then each part with
// its figures, then what it rests on.
func (r *Result) Chapters(w quantity.World) []Chapter {
	p := &printer{w: w, r: r}
	p.list("What to do", p.toDo())
	p.power()
	p.engine()
	p.compressor()
	p.turbine()
	p.fuel()
	p.gearing()
	p.tyres()
	p.stop()
	p.list("What would tell more", r.Missing)
	p.list("Mind", r.Notes)
	p.assumed()
	p.list("How the figures were obtained", p.how)
	p.list("Before anything is built or run", r.Cautions)
	return p.chapters
}

// Title says what was asked.
func (r *Result) Title(w quantity.World) string {
	name := r.Car
	if name == "" {
		name = "this car"
	}
	return fmt.Sprintf("%s · %s through the trap after %s", name, w.Stated(quantity.DimSpeed, r.Target), w.Stated(quantity.DimLength, r.Length))
}

// Answer is the whole answer in one sentence.
func (r *Result) Answer(w quantity.World) string {
	p := &printer{w: w, r: r}
	target := w.Stated(quantity.DimSpeed, r.Target)
	switch o := r.Power; {
	case o.Wheel == nil:
		return "No power reaches " + target + " with these tyres and gears."
	case o.OutOfReach > 0.5:
		return fmt.Sprintf("%s is more than the tyres and gears can bring, more likely than not: it takes %s at the crank where it can be reached.", target, p.fig(o.Crank))
	case o.Own != nil && o.Own.Trap >= r.Target:
		return fmt.Sprintf("%s at the crank for %s through the trap; your best pass ran %s.", p.fig(o.Crank), target, w.Speed(o.Own.Trap))
	default:
		return fmt.Sprintf("%s at the crank for %s through the trap.", p.fig(o.Crank), target)
	}
}

// Bounds says what stands behind each figure.
const Bounds = "Each figure is followed by the bounds between which it lies in nine cases of ten."

// WriteText prints the answer for reading, in the units of w.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	b.WriteString(r.Title(w) + "\n")
	b.WriteString("  " + Bounds + "\n")
	for _, c := range r.Chapters(w) {
		b.WriteString("\n" + c.Title + "\n")
		for _, l := range c.Lines {
			if c.Items {
				l = "- " + l
			}
			b.WriteString("  " + l + "\n")
		}
	}
	_, err := io.WriteString(out, b.String())
	return err
}

func (p *printer) heading(s string) { p.chapters = append(p.chapters, Chapter{Title: s}) }

func (p *printer) say(format string, args ...any) {
	c := &p.chapters[len(p.chapters)-1]
	c.Lines = append(c.Lines, fmt.Sprintf(format, args...))
}

// basis keeps a part's method and source for the end.
func (p *printer) basis(b Basis) {
	p.how = append(p.how, fmt.Sprintf("%s: %s. By %s.", p.chapters[len(p.chapters)-1].Title, b.Method, b.Source))
}

func (p *printer) list(head string, items []string) {
	if len(items) > 0 {
		p.chapters = append(p.chapters, Chapter{head, items, true})
	}
}
