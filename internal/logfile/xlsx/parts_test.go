package xlsx_test

import (
	"archive/zip"
	"bytes"
	"io"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/logfile/logfiletest"
	"traplight/internal/logfile/xlsx"
)

// parts are a workbook's texts that a sheet is read by.
type parts struct{ workbook, styles, shared, sheet string }

// lines is the sheet as lines of text; the parts are packed as they stand, without deflating.
func (p parts) lines(t testing.TB) (string, error) {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, part := range [...][2]string{
		{"xl/workbook.xml", p.workbook}, {"xl/styles.xml", p.styles}, {"xl/sharedStrings.xml", p.shared}, {"xl/worksheets/sheet1.xml", p.sheet},
	} {
		w, err := z.CreateHeader(&zip.FileHeader{Name: part[0], Method: zip.Store})
		if err == nil {
			_, err = io.WriteString(w, part[1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	return xlsx.Lines(r, "xl/worksheets/sheet1.xml")
}

// unpacked are the parts of the workbooks that two general-purpose writers made.
func unpacked(t testing.TB) []parts {
	t.Helper()
	names, err := filepath.Glob("testdata/*.xlsx")
	if err != nil || len(names) < 3 {
		t.Fatalf("%d workbooks: %v", len(names), err)
	}
	var all []parts
	for _, name := range names {
		z, err := zip.OpenReader(name)
		if err != nil {
			t.Fatal(err)
		}
		part := func(name string) string {
			f, err := z.Open(name)
			if err != nil {
				return ""
			}
			defer f.Close()
			text, err := io.ReadAll(f)
			if err != nil {
				t.Fatal(err)
			}
			return string(text)
		}
		all = append(all, parts{part("xl/workbook.xml"), part("xl/styles.xml"), part("xl/sharedStrings.xml"), part("xl/worksheets/sheet1.xml")})
		z.Close()
	}
	return all
}

// TestLines: rows and columns that a sheet leaves out stay empty, shared and own texts, formulas'
// results, dates by style and errors are told (ECMA-376, part 1, 18.3.1.4, 18.3.1.73, 18.18.11).
func TestLines(t *testing.T) {
	got, err := parts{
		workbook: `<workbook/>`,
		styles:   `<styleSheet><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/></cellXfs></styleSheet>`,
		shared:   `<sst><si><t>Time</t></si><si><r><t>Engine </t></r><r><t>speed</t></r><rPh><t>x</t></rPh></si></sst>`,
		sheet: `<worksheet><sheetData><row r="1"><c r="A1" t="s"><v>0</v></c><c r="C1" t="s"><v>1</v></c></row>` +
			`<row r="3"><c r="A3"><v>1.5</v></c><c r="B3" t="inlineStr"><is><t>a "b"</t></is></c><c r="C3"><f>A3*2</f><v>3</v></c><c r="E3" t="e"><v>#DIV/0!</v></c></row>` +
			`<row r="4"><c r="A4" s="1"><v>25569.5</v></c></row></sheetData></worksheet>`,
	}.lines(t)
	if want := "Time\t\tEngine speed\n\n1.5\ta 'b'\t3\t\t\n1970-01-01T12:00:00.000000\n"; err != nil || got != want {
		t.Errorf("%q, %v; want %q", got, err, want)
	}
}

// FuzzLines feeds the texts within a workbook to what reads them, which packing and the work on
// a whole log else keep from the fuzzer: lines hold cells and nothing else, whatever it reads.
func FuzzLines(f *testing.F) {
	for _, p := range unpacked(f) {
		f.Add(p.workbook, p.styles, p.shared, p.sheet)
	}
	f.Add(`<workbook><workbookPr date1904="1"/></workbook>`, `<cellXfs><xf numFmtId="14"/></cellXfs>`, `<si><t>a</t></si>`,
		`<row r="2"><c r="B2" t="s"><v>0</v></c><c s="0"><v>1e5</v></c></row><row><c t="b"><v>1</v></c></row>`)
	f.Fuzz(func(t *testing.T, workbook, styles, shared, sheet string) {
		p := parts{workbook, styles, shared, sheet}
		logfiletest.Bounded(t, len(workbook)+len(styles)+len(shared)+len(sheet), func() {
			text, err := p.lines(t)
			if strings.ContainsAny(text, "\r\"") {
				t.Fatalf("a cell breaks its line: %q", text)
			}
			if err == nil && text != "" && !strings.HasSuffix(text, "\n") {
				t.Fatalf("the last line is cut: %q", text)
			}
			for line := range strings.Lines(text) {
				if n := strings.Count(line, "\t"); n >= 16384 {
					t.Fatalf("%d cells in a line", n+1)
				}
			}
		})
	})
}
