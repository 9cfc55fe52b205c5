package card

import (
	_ "embed"
	"html/template"
	"io"
	"math"

	"traplight/internal/quantity"
)

//go:embed card.gohtml
var source string

var page = template.Must(template.New("card").Funcs(template.FuncMap{"together": quantity.Together}).Parse(source))

// roomier is how much smaller the page's type is than that of the PDF, 1: the browser's own
// sans serif may be as much wider than the PDF's, and its two columns balance less well.
const roomier = 0.86

// PrintSize is the type in which the page fits one sheet of A4, pt.
func (c *Card) PrintSize() float64 {
	if s := c.fitted(); s != nil {
		return math.Round(100*roomier*s.size) / 100
	}
	return roomier * smallestType
}

// Foot is the sentence under the card, for the template.
func (c *Card) Foot() string { return Foot }

// WriteHTML writes the card as one self-contained page that prints on one sheet.
func (c *Card) WriteHTML(out io.Writer) error { return page.Execute(out, c) }
