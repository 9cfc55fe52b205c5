package card

import (
	_ "embed"
	"html/template"
	"io"
)

//go:embed card.gohtml
var source string

var page = template.Must(template.New("card").Parse(source))

// Foot is the sentence under the card, for the template.
func (c *Card) Foot() string { return Foot }

// WriteHTML writes the card as one self-contained page that prints on one sheet.
func (c *Card) WriteHTML(out io.Writer) error { return page.Execute(out, c) }
