package life

import (
	"fmt"
	"io"
	"math"
	"strings"

	"traplight/internal/car"
	"traplight/internal/quantity"
)

func cautions() []string {
	return []string{
		"A count is no inspection: cracks, play and metal in the oil are seen by looking, not by counting.",
		"Miner's sum at failure is commonly between 0.3 and 3: a sum below that is no promise, and a part whose past is not in the logs has endured more than is told.",
		"Support the car on rated stands before work under it, and strap it down on a rolling road. Close and vent a nitrous bottle before its lines are opened. Makers' limits, the event's technical inspection and rules, local codes and licensed practice come first; the driver may refuse any pass.",
	}
}

func methods() []Basis {
	return []Basis{
		{"cycles", "rainflow counting of the torque in the part's gears, zero in others, turns under 4 % of the highest left out; or a cycle from zero for each turn of the shaft", "ASTM E1049-85, section 5.4.4; ISO 6336-6 for gear teeth"},
		{"damage", "Palmgren's and Miner's sum on the part's S–N slope through its stated point; bounds from the torque's standard deviation times the slope", "M. A. Miner, J. Appl. Mech. 12 (1945) A159; slopes of ISO 6336-6 and ISO 281"},
		{"life", "Weibull distribution in passes, parts of one kind pooled, those that run or were taken out whole as suspensions", "W. Weibull, J. Appl. Mech. 18 (1951) 293; R. B. Abernethy, The New Weibull Handbook (from memory)"},
	}
}

// DueLines are what the pass card must say: one line for each part that is due or to be
// looked at.
func (r *Result) DueLines() []string {
	var out []string
	for i := range r.Parts {
		p := &r.Parts[i]
		if !p.InCar {
			continue
		}
		if len(p.Due) > 0 {
			out = append(out, fmt.Sprintf("%s is due: %s", p.title(), strings.Join(p.Due, "; ")))
		} else if len(p.Look) > 0 {
			out = append(out, fmt.Sprintf("look at %s: %s", p.title(), strings.Join(p.Look, "; ")))
		}
	}
	return out
}

// Answer is the first line, and what it announces.
func (r *Result) Answer() (answer string, due []string) {
	if due = r.DueLines(); len(due) > 0 {
		return quantity.Count(len(due), "part wants work or a look", "parts want work or a look") + ":", due
	}
	for i := range r.Parts {
		if r.Parts[i].Passes > 0 {
			return "Nothing is due by what was counted.", nil
		}
	}
	return "No pass was counted, so nothing is known to be due.", nil
}

func (p *Part) title() string {
	if p.Name == "" {
		return p.Serial
	}
	return p.Name + " " + p.Serial
}

// WriteText prints the answer for reading, in the units of w.
func (r *Result) WriteText(out io.Writer, w quantity.World) error {
	var b strings.Builder
	answer, due := r.Answer()
	b.WriteString(answer + "\n")
	for _, d := range due {
		say(&b, "- %s.", d)
	}
	for i := range r.Parts {
		r.Parts[i].write(&b, w)
	}
	if len(r.Kinds) > 0 {
		b.WriteString("\nLives by kind\n")
		for i := range r.Kinds {
			r.Kinds[i].write(&b)
		}
	}
	list(&b, "Mind", r.Notes)
	var how []string
	for _, m := range r.Method {
		how = append(how, fmt.Sprintf("%s: %s. By %s.", m.What, m.Method, m.Source))
	}
	list(&b, "How the figures were obtained", how)
	list(&b, "Before the car goes again", r.Cautions)
	_, err := io.WriteString(out, b.String())
	return err
}

func list(b *strings.Builder, head string, items []string) {
	if len(items) == 0 {
		return
	}
	b.WriteString("\n" + head + "\n")
	for _, s := range items {
		say(b, "- %s", s)
	}
}

func (p *Part) write(b *strings.Builder, w quantity.World) {
	state := ""
	switch {
	case p.Failed:
		state = "failed"
	case !p.InCar:
		state = "taken out"
	case len(p.Due) > 0:
		state = "due"
	case p.Left != nil:
		state = fmt.Sprintf("at least %s left by %s", quantity.Count(p.Left.Passes, "pass", "passes"), p.Left.By)
	default:
		state = "no limit stated"
	}
	fmt.Fprintf(b, "\n%s: %s\n", p.title(), state)
	text := quantity.Count(p.Passes, "pass", "passes")
	if p.Recorded < p.Passes {
		text += fmt.Sprintf(" (%d with a log)", p.Recorded)
	}
	say(b, "%s, %.1f s at full throttle.", text, p.FullTime)
	dim := car.Load(p.Load).Dimension()
	if p.Highest != nil {
		text := fmt.Sprintf("Highest %s %s", p.Load, w.Text(dim, *p.Highest))
		for _, l := range p.Levels {
			text += fmt.Sprintf("; above %s for %.1f s", w.Text(dim, l.Level), l.Time)
		}
		say(b, "%s.", text)
	}
	if p.Over > 0 {
		say(b, "Beyond its limit %s, %.2f s together, up to %s.", quantity.Count(p.Over, "time", "times"), p.OverTime, w.Text(dim, *p.OverTop))
	}
	if len(p.Cycles) > 0 {
		unit := w.Unit(quantity.DimTorque)
		var c []string
		for _, x := range p.Cycles {
			c = append(c, fmt.Sprintf("%s up to %.0f", count(x.Count), unit.Of(x.Range)))
		}
		say(b, "Cycles by %s, %s: %s.", p.Counting, unit.Symbol, strings.Join(c, ", "))
	}
	if e := p.Equivalent; e != nil {
		unit := w.Unit(quantity.DimTorque)
		say(b, "They do the damage of %s cycles of %.0f %s (%.0f to %.0f).", count(p.EquivalentN), unit.Of(e.Value), unit.Symbol, unit.Of(e.Low), unit.Of(e.High))
	}
	if d := p.Damage; d != nil {
		least := ""
		if d.AtLeast {
			least = "at least "
		}
		say(b, "Damage: %s%.2g (%.2g to %.2g); due at %.2g.", least, d.Value, d.Low, d.High, p.DueDamage)
	}
	if h := p.Hardest; h != nil && h.Times > 1.05 {
		say(b, "The hardest pass, %s, took %.2g times what the usual one takes.", h.Name, h.Times)
	}
	if p.NextFail != nil && p.InCar && p.shown {
		say(b, "By what parts of its kind have shown, it fails in the next pass with a chance of at most %s.", percent(*p.NextFail))
	}
	for _, s := range p.Look {
		say(b, "Look at it: %s.", s)
	}
	for _, s := range p.Notes {
		say(b, "%s", s)
	}
}

func percent(x float64) string {
	switch {
	case x < 0.001:
		return "0.1 %"
	case x < 0.1:
		return fmt.Sprintf("%.1f %%", 100*x)
	}
	return fmt.Sprintf("%.0f %%", 100*x)
}

// count prints a number of cycles: halves as they are, thousands whole.
func count(x float64) string {
	if x == math.Trunc(x) || x >= 100 {
		return fmt.Sprintf("%.0f", x)
	}
	return fmt.Sprintf("%.1f", x)
}

func (k *Kind) write(b *strings.Builder) {
	head := fmt.Sprintf("%s: %s, %s", k.Name, quantity.Count(k.Failures, "failure", "failures"), quantity.Count(k.Suspensions, "part that has not failed", "parts that have not failed"))
	if k.Eta == nil {
		say(b, "%s. No estimate: %s.", head, k.Method)
		return
	}
	f := func(x *Figure, digits int) string {
		if x.AtLeast {
			return fmt.Sprintf("at least %.*f", digits, x.Value)
		}
		return fmt.Sprintf("%.*f (%.*f to %.*f)", digits, x.Value, digits, x.Low, digits, x.High)
	}
	slope := "slope " + f(k.Beta, 2)
	if k.Assumed {
		slope = fmt.Sprintf("slope %.2g assumed", k.Beta.Value)
	}
	say(b, "%s. Nine of ten last %s passes, characteristic life %s passes, %s; %s.", head, f(k.B10, 1), f(k.Eta, 1), slope, k.Method)
}

func say(b *strings.Builder, format string, args ...any) {
	fmt.Fprintf(b, "  "+format+"\n", args...)
}
