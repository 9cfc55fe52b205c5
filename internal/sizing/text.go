package sizing

import (
	"fmt"
	"io"
	"strings"

	"traplight/internal/quantity"
)

// printer puts a result into words, in the units of a world.
type printer struct {
	strings.Builder
	w    quantity.World
	r    *Result
	part string   // heading of the part being written
	how  []string // methods and sources, for the end
}

// WriteText prints the answer for reading, in the units of w: each part begins with a
// sentence that answers, then figures, each with the bounds between which nine draws of ten
// lie, then method and source.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	p := &printer{w: w, r: r}
	p.title()
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
	_, err := io.WriteString(out, p.String())
	return err
}

func (p *printer) heading(s string) {
	p.part = s
	p.WriteString("\n" + s + "\n")
}

func (p *printer) say(format string, args ...any) {
	p.wrap(fmt.Sprintf(format, args...), "  ", "")
}

// wrap breaks a sentence at blanks to 100 columns.
func (p *printer) wrap(text, indent, hang string) {
	line := indent
	n := len([]rune(indent))
	first := true
	for _, word := range strings.Fields(text) {
		k := len([]rune(word))
		if !first && n+1+k > 100 {
			p.WriteString(line + "\n")
			line, n, first = indent+hang, len([]rune(indent+hang)), true
		}
		if !first {
			line += " "
			n++
		}
		line += word
		n += k
		first = false
	}
	p.WriteString(line + "\n")
}

// basis keeps a part's method and source for the end of the text.
func (p *printer) basis(b Basis) {
	p.how = append(p.how, fmt.Sprintf("%s: %s. By %s.", p.part, b.Method, b.Source))
}

func (p *printer) list(head string, items []string) {
	if len(items) == 0 {
		return
	}
	p.heading(head)
	for _, s := range items {
		p.wrap("- "+s, "  ", "  ")
	}
}

func (p *printer) title() {
	name := p.r.Car
	if name == "" {
		name = "this car"
	}
	fmt.Fprintf(&p.Builder, "%s · %s through the trap after %s\n", name, p.w.Speed(p.r.Target), p.w.Length(p.r.Length))
	p.say("Each figure is followed by the bounds between which it lies in nine cases of ten.")
}
