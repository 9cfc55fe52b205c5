package logfiletest

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	pq "github.com/parquet-go/parquet-go"
)

// Workbook writes a sample as the smallest workbook that the format allows.
func Workbook(s Sample) []byte {
	var sheet strings.Builder
	sheet.WriteString(`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1">`)
	word := func(v string) {
		sheet.WriteString(`<c t="inlineStr"><is><t>`)
		if err := xml.EscapeText(&sheet, []byte(v)); err != nil {
			panic(err)
		}
		sheet.WriteString(`</t></is></c>`)
	}
	word("Time [s]")
	for _, c := range s.Columns {
		if c.Unit == "" {
			word(c.Name)
		} else {
			word(c.Name + " [" + c.Unit + "]")
		}
	}
	sheet.WriteString("</row>")
	for i, x := range s.Time {
		fmt.Fprintf(&sheet, `<row><c><v>%v</v></c>`, x)
		for _, c := range s.Columns {
			switch {
			case c.Text != nil:
				word(c.Text[i])
			case c.Values[i] != c.Values[i]:
				sheet.WriteString(`<c/>`)
			default:
				fmt.Fprintf(&sheet, `<c><v>%v</v></c>`, c.Values[i])
			}
		}
		sheet.WriteString("</row>")
	}
	sheet.WriteString("</sheetData></worksheet>")
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, text := range map[string]string{
		"xl/workbook.xml":          `<workbook xmlns="x"><sheets><sheet name="log" sheetId="1"/></sheets></workbook>`,
		"xl/worksheets/sheet1.xml": sheet.String(),
	} {
		w, err := z.Create(name)
		if err != nil {
			panic(err)
		}
		if _, err := w.Write([]byte(text)); err != nil {
			panic(err)
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.Bytes()
}

// Parquet writes a sample with the library's own writer.
func Parquet(t testing.TB, s Sample) []byte {
	t.Helper()
	group := pq.Group{"Time [s]": pq.Leaf(pq.DoubleType)}
	title := func(c Column) string {
		if c.Unit == "" {
			return c.Name
		}
		return c.Name + " [" + c.Unit + "]"
	}
	for _, c := range s.Columns {
		if c.Text != nil {
			group[title(c)] = pq.String()
		} else {
			group[title(c)] = pq.Optional(pq.Leaf(pq.DoubleType))
		}
	}
	schema := pq.NewSchema("log", group)
	var b bytes.Buffer
	w := pq.NewWriter(&b, schema, pq.Compression(&pq.Zstd))
	index := map[string]int{}
	for i, path := range schema.Columns() {
		index[path[0]] = i
	}
	for row := range s.Time {
		r := make(pq.Row, len(index))
		r[index["Time [s]"]] = pq.DoubleValue(s.Time[row]).Level(0, 0, index["Time [s]"])
		for _, c := range s.Columns {
			i := index[title(c)]
			switch {
			case c.Text != nil:
				r[i] = pq.ByteArrayValue([]byte(c.Text[row])).Level(0, 0, i)
			case c.Values[row] != c.Values[row]:
				r[i] = pq.NullValue().Level(0, 0, i)
			default:
				r[i] = pq.DoubleValue(c.Values[row]).Level(0, 1, i)
			}
		}
		if _, err := w.WriteRows([]pq.Row{r}); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
