package xlsx

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// lines writes the rows of a sheet as lines with tabs between cells. Rows that
// the sheet leaves out are empty lines, so that line numbers are row numbers.
func (b *book) lines(f *zip.File, out *bufio.Writer) error {
	line, row := 0, 0
	var cells []string
	err := b.each(f.Name, func(d *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "row":
			row++
			if n, err := strconv.Atoi(attribute(e, "r")); err == nil && n >= row && n <= 1<<20 {
				row = n
			}
			cells = cells[:0]
			if err := b.row(d, &cells); err != nil {
				return err
			}
			for ; line < row-1; line++ {
				if err := out.WriteByte('\n'); err != nil {
					return err
				}
			}
			line++
			for i, c := range cells {
				if i > 0 {
					out.WriteByte('\t')
				}
				out.WriteString(c)
			}
			return out.WriteByte('\n')
		}
		return nil
	})
	return err
}

// row reads the cells of one row.
func (b *book) row(d *xml.Decoder, cells *[]string) error {
	for {
		t, err := d.Token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.StartElement:
			if t.Name.Local != "c" {
				continue
			}
			at := len(*cells)
			if k, ok := columnOf(attribute(t, "r")); ok {
				at = k
			}
			if at >= mostColumns {
				return errors.New("a cell beyond the last column")
			}
			for len(*cells) <= at {
				*cells = append(*cells, "")
			}
			v, err := b.cell(d, t)
			if err != nil {
				return err
			}
			(*cells)[at] = clean.Replace(v)
		case xml.EndElement:
			if t.Name.Local == "row" {
				return nil
			}
		}
	}
}

// clean keeps cells within their line.
var clean = strings.NewReplacer("\t", " ", "\n", " ", "\r", " ", "\"", "'")

// columnOf is the column of a reference such as "AB12", from 0.
func columnOf(ref string) (int, bool) {
	n := 0
	for i := 0; i < len(ref) && i < 4; i++ {
		c := ref[i]
		if c >= '0' && c <= '9' {
			return n - 1, n > 0
		}
		if c < 'A' || c > 'Z' {
			return 0, false
		}
		n = n*26 + int(c-'A') + 1
	}
	return 0, false
}

// cell reads one cell up to its end and gives its text.
func (b *book) cell(d *xml.Decoder, e xml.StartElement) (string, error) {
	kind := attribute(e, "t")
	if kind == "inlineStr" {
		return text(d, "c")
	}
	var v strings.Builder
	in := false
	for done := false; !done; {
		t, err := d.Token()
		if err != nil {
			return "", err
		}
		switch t := t.(type) {
		case xml.StartElement:
			in = t.Name.Local == "v"
		case xml.CharData:
			if in && v.Len() < 1<<16 {
				v.Write(t)
			}
		case xml.EndElement:
			in = false
			done = t.Name.Local == "c"
		}
	}
	s := strings.TrimSpace(v.String())
	switch kind {
	case "s":
		n, err := strconv.Atoi(s)
		if err != nil || n < 0 || n >= len(b.shared) {
			return "", fmt.Errorf("no shared text number %q", s)
		}
		return b.shared[n], nil
	case "str", "b", "d":
		return s, nil
	case "e":
		return "", nil
	}
	style, _ := strconv.Atoi(attribute(e, "s"))
	if style >= 0 && style < len(b.formats) && b.formats[style] != plainNumber {
		if x, err := strconv.ParseFloat(s, 64); err == nil {
			return b.moment(x, b.formats[style]), nil
		}
	}
	return s, nil
}
