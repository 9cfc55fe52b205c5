// Package xlsx reads the sheets of Office Open XML workbooks (ECMA-376, part 1,
// SpreadsheetML), as people export logs: cells as they were stored, dates and
// times by the cell's number format. The largest sheet that holds a log is taken.
// Formulas are read by their stored result. It turns a sheet into lines of text,
// so that header, units and clock are found as in any text table.
package xlsx

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"sort"
	"strings"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
)

// Limits of a workbook that is still taken for a log.
const (
	mostStrings = 64 << 20 // bytes of shared text
	mostColumns = 16384    // the format's own limit
	partRatio   = 100      // text of one part for each packed byte
	partGrace   = 64 << 20 // bytes of text that are always allowed
)

// Is says whether a zip archive is such a workbook.
func Is(z *zip.Reader) bool {
	for _, f := range z.File {
		if f.Name == "xl/workbook.xml" {
			return true
		}
	}
	return false
}

// Read reads the workbook.
func Read(name string, z *zip.Reader) (*table.Table, error) {
	b := &book{parts: map[string]*zip.File{}}
	var sheets []*zip.File
	for _, f := range z.File {
		b.parts[f.Name] = f
		if strings.HasPrefix(f.Name, "xl/worksheets/") && path.Ext(f.Name) == ".xml" {
			sheets = append(sheets, f)
		}
	}
	if len(sheets) == 0 {
		return nil, &table.Error{File: name, Err: table.ErrNoTable, Reason: "the workbook has no sheets"}
	}
	for _, step := range []func() error{b.workbook, b.styles, b.strings} {
		if err := step(); err != nil {
			return nil, &table.Error{File: name, Err: table.ErrDamaged, Reason: err.Error()}
		}
	}
	sort.SliceStable(sheets, func(i, j int) bool { return sheets[i].UncompressedSize64 > sheets[j].UncompressedSize64 })
	var first error
	for _, s := range sheets {
		title := b.title(s.Name)
		t, err := b.sheet(name+"/"+title, s)
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		t.Format = "xlsx"
		if len(sheets) > 1 {
			t.Notes = append(t.Notes, fmt.Sprintf("the workbook has %d sheets; %q, the largest that is a log, was read", len(sheets), title))
		}
		return t, nil
	}
	return nil, first
}

// book is what the sheets share.
type book struct {
	parts    map[string]*zip.File
	shared   []string
	formats  []numberFormat // by style
	from1904 bool
	titles   map[string]string // relation → sheet title
	targets  map[string]string // part → relation
}

// each calls f for every start element of a part; a part that is not there has
// none.
func (b *book) each(part string, f func(d *xml.Decoder, e xml.StartElement) error) error {
	file := b.parts[part]
	if file == nil {
		return nil
	}
	r, err := file.Open()
	if err != nil {
		return err
	}
	defer r.Close()
	d := xml.NewDecoder(bufio.NewReaderSize(io.LimitReader(r, partGrace+partRatio*int64(min(file.CompressedSize64, 1<<40))), 64<<10))
	d.Strict = false
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("%s: %w", part, err)
		}
		if e, ok := t.(xml.StartElement); ok {
			if err := f(d, e); err != nil {
				return err
			}
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// workbook reads the titles of the sheets and the epoch of dates.
func (b *book) workbook() error {
	b.titles, b.targets = map[string]string{}, map[string]string{}
	if err := b.each("xl/workbook.xml", func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "sheet":
			b.titles[attribute(e, "id")] = attribute(e, "name")
		case "workbookPr":
			v := attribute(e, "date1904")
			b.from1904 = v == "1" || v == "true"
		}
		return nil
	}); err != nil {
		return err
	}
	return b.each("xl/_rels/workbook.xml.rels", func(_ *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local == "Relationship" {
			target := strings.TrimPrefix(attribute(e, "Target"), "/")
			if !strings.HasPrefix(target, "xl/") {
				target = path.Join("xl", target)
			}
			b.targets[target] = attribute(e, "Id")
		}
		return nil
	})
}

func (b *book) title(part string) string {
	if t := b.titles[b.targets[part]]; t != "" {
		return t
	}
	return strings.TrimSuffix(path.Base(part), ".xml")
}

// strings reads the shared texts.
func (b *book) strings() error {
	size := 0
	return b.each("xl/sharedStrings.xml", func(d *xml.Decoder, e xml.StartElement) error {
		if e.Name.Local != "si" {
			return nil
		}
		s, err := text(d, "si")
		if err != nil {
			return err
		}
		if size += len(s); size > mostStrings {
			return errors.New("too much shared text")
		}
		b.shared = append(b.shared, s)
		return nil
	})
}

// text gathers the text in <t> elements up to the end of an element; phonetic
// hints are left out.
func text(d *xml.Decoder, end string) (string, error) {
	var s strings.Builder
	in, hint := false, false
	for {
		t, err := d.Token()
		if err != nil {
			return "", err
		}
		switch t := t.(type) {
		case xml.StartElement:
			in = t.Name.Local == "t"
			hint = hint || t.Name.Local == "rPh"
		case xml.CharData:
			if in && !hint {
				s.Write(t)
			}
		case xml.EndElement:
			switch t.Name.Local {
			case "t":
				in = false
			case "rPh":
				hint = false
			case end:
				return s.String(), nil
			}
		}
	}
}

// sheet reads one sheet through the reader of text tables.
func (b *book) sheet(name string, f *zip.File) (*table.Table, error) {
	r, w := io.Pipe()
	go func() {
		out := bufio.NewWriterSize(w, 64<<10)
		err := b.lines(f, out)
		if err == nil {
			err = out.Flush()
		} else {
			out.Flush()
			err = fmt.Errorf("%w: %s", table.ErrDamaged, err.Error())
		}
		w.CloseWithError(err)
	}()
	t, err := csv.Read(name, r, 0)
	r.Close()
	return t, err
}
