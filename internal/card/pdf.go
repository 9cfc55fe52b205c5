package card

import (
	"errors"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"

	"traplight/internal/quantity"
)

// The sheet, mm.
const (
	sheetW, sheetH = 210.0, 297.0
	edge           = 11.0
	gutter         = 6.0
)

// ErrFull says that the card does not fit on one page even in the smallest type.
var ErrFull = errors.New("the card does not fit on one page")

// WritePDF writes the card as one page of A4. The type is as large as fits; ErrFull where even
// the smallest does not.
func (c *Card) WritePDF(out io.Writer) error {
	s := c.fitted()
	if s == nil {
		return ErrFull
	}
	return s.pdf.Output(out)
}

// The type of a card, pt.
const largestType, smallestType, typeStep = 9.5, 6, 0.25

// fitted is the card drawn on one sheet in the largest type that fits; nil when none does.
func (c *Card) fitted() *sheet {
	for size := largestType; size >= smallestType; size -= typeStep {
		s := newSheet(c.Title(), size)
		c.draw(s)
		if s.low() <= sheetH-edge {
			return s
		}
	}
	return nil
}

// sheet draws on one page, in two columns below the settings.
type sheet struct {
	pdf   *fpdf.Fpdf
	tr    func(string) string
	size  float64 // pt
	x, y  float64 // mm
	w     float64 // mm, of the column
	floor float64 // mm, lowest point of finished columns
}

func newSheet(title string, size float64) *sheet {
	p := fpdf.New("P", "mm", "A4", "")
	p.SetAutoPageBreak(false, 0)
	p.SetMargins(0, 0, 0)
	p.SetCellMargin(0)
	// the same card has the same bytes
	p.SetCreationDate(time.Unix(0, 0).UTC())
	p.SetModificationDate(time.Unix(0, 0).UTC())
	p.SetCatalogSort(true)
	p.SetTitle(title, true)
	p.AddPage()
	return &sheet{pdf: p, tr: p.UnicodeTranslatorFromDescriptor(""), size: size, x: edge, y: edge, w: sheetW - 2*edge}
}

func (s *sheet) low() float64 { return max(s.floor, s.y) }

func (s *sheet) height(size float64) float64 { return size * 0.3528 * 1.24 }

// text writes a paragraph at x, w wide, and gives its height, mm.
func (s *sheet) text(x, y, w, size float64, style, text string) float64 {
	s.pdf.SetFont("Helvetica", style, size)
	h := s.height(size)
	s.pdf.SetXY(x, y)
	s.pdf.MultiCell(w, h, s.tr(quantity.Together(text)), "", "L", false)
	return s.pdf.GetY() - y
}

func (s *sheet) para(size float64, style, text string) {
	s.y += s.text(s.x, s.y, s.w, size, style, text)
}

func (s *sheet) rule(width float64) {
	s.pdf.SetLineWidth(width)
	s.pdf.Line(s.x, s.y, s.x+s.w, s.y)
}

func (s *sheet) head(text string) {
	s.y += 1.6
	s.para(s.size+0.5, "B", text)
	s.rule(0.15)
	s.y += 0.6
}

// cells writes a line of cells, widths as shares of the column.
func (s *sheet) cells(size float64, styles string, shares []float64, texts ...string) {
	x, h := s.x, 0.0
	for i, t := range texts {
		style := ""
		if i < len(styles) && styles[i] == 'B' {
			style = "B"
		}
		w := shares[i] * s.w
		h = max(h, s.text(x, s.y, w-1.5, size, style, t))
		x += w
	}
	s.y += h
}

func (s *sheet) items(mark string, items []string) {
	for _, t := range items {
		h := s.height(s.size)
		if mark == "" {
			s.pdf.SetLineWidth(0.2)
			s.pdf.Rect(s.x, s.y+0.22*h, 0.58*h, 0.58*h, "D")
		} else {
			s.text(s.x, s.y, 3, s.size, "", mark)
		}
		s.y += s.text(s.x+3.4, s.y, s.w-3.4, s.size, "", t) + 0.3
	}
}

// boxed frames a paragraph.
func (s *sheet) boxed(title, text string) {
	y := s.y + 1
	h := s.text(s.x+1.5, y+0.8, s.w-3, s.size+0.5, "B", title+text)
	s.pdf.SetLineWidth(0.45)
	s.pdf.Rect(s.x, y, s.w, h+1.6, "D")
	s.y = y + h + 2.6
}
