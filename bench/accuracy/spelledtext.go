package main

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"regexp"
	"strings"
	"unicode/utf16"

	"traplight/internal/logfile/logfiletest"
)

// spelledText are separators, marks, quotes, codes and containers.
var spelledText = []spelling{
	{name: "separator: semicolon, decimal comma", change: func(d *draft) { d.text.Sep, d.text.Decimal = ";", "," }},
	{name: "separator: tab, decimal comma", change: func(d *draft) { d.text.Sep, d.text.Decimal = "\t", "," }},
	{name: "separator: bar", change: func(d *draft) { d.text.Sep = "|" }},
	{name: "separator: caret", change: func(d *draft) { d.text.Sep = "^" }},
	{name: "separator: tilde", change: func(d *draft) { d.text.Sep = "~" }},
	{name: "separator: tilde, decimal comma", change: func(d *draft) { d.text.Sep, d.text.Decimal = "~", "," }},
	{name: "separator: two blanks", change: func(d *draft) { d.text = logfiletest.Dialect{Sep: "  ", Units: "ending", Fill: "nan"} }},
	{name: "separator: blanks, padded", change: func(d *draft) { d.text = logfiletest.Dialect{Sep: " ", Units: "row", Fill: "--"} }},
	{name: "separator: semicolon and blank", change: func(d *draft) { d.text.Sep, d.text.Padding = ";", true }},
	{name: "separator told by sep=", change: func(d *draft) {
		d.text.Sep = ";"
		d.lines(func(l []string) []string { return append([]string{"sep=;"}, l...) })
	}},
	{name: "bars at both ends", change: func(d *draft) {
		d.text.Sep = "|"
		d.lines(func(l []string) []string {
			for i := range l {
				l[i] = "|" + l[i] + "|"
			}
			return l
		})
	}},
	{name: "decimal comma, quoted, commas between", change: func(d *draft) { d.text.Decimal, d.text.Quotes = ",", true }},
	{name: "quotes: single", change: func(d *draft) {
		d.text.Quotes = true
		d.lines(func(l []string) []string {
			for i := range l {
				l[i] = strings.ReplaceAll(l[i], `"`, "'")
			}
			return l
		})
	}},
	{name: "quotes: names only, with line breaks in them", change: func(d *draft) {
		d.lines(func(l []string) []string {
			l[0] = `"` + strings.ReplaceAll(strings.ReplaceAll(l[0], ",", `","`), " [", "\n[") + `"`
			return l
		})
	}},
	{name: "quotes: =\"1.5\"", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return `="` + strings.ReplaceAll(r, ",", `",="`) + `"` })
	}},
	{name: "numbers: grouped 1,234.5", change: func(d *draft) {
		d.text.Quotes = true
		d.rows(func(_ int, r string) string { return grouped.ReplaceAllString(r, "$1,$2") })
	}},
	{name: "numbers: grouped 1.234,5", change: func(d *draft) {
		d.text.Sep, d.text.Decimal = ";", ","
		d.rows(func(_ int, r string) string { return grouped.ReplaceAllString(r, "$1.$2") })
	}},
	{name: "numbers: grouped 1 234,5", change: func(d *draft) {
		d.text.Sep, d.text.Decimal = ";", ","
		d.rows(func(_ int, r string) string { return grouped.ReplaceAllString(r, "$1\u00a0$2") })
	}},
	{name: "numbers: grouped 1'234.5", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return grouped.ReplaceAllString(r, "$1'$2") })
	}},
	{name: "numbers: 1.5E+02", change: func(d *draft) { d.text.Exponent = true }},
	{name: "numbers: 1.5D+02", change: func(d *draft) {
		d.text.Exponent = true
		d.rows(func(_ int, r string) string { return strings.ReplaceAll(r, "E", "D") })
	}},
	{name: "numbers: 1.5d+02, comma", change: func(d *draft) {
		d.text.Exponent, d.text.Sep, d.text.Decimal = true, ";", ","
		d.rows(func(_ int, r string) string { return strings.ReplaceAll(r, "E", "d") })
	}},
	{name: "numbers: plus signs", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return plain.ReplaceAllString(r, "$1+$2") })
	}},
	{name: "numbers: .5 for 0.5", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return regexp.MustCompile(`(^|[,-])0\.`).ReplaceAllString(r, "$1.") })
	}},
	{name: "numbers: minus U+2212", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return strings.ReplaceAll(r, "-", "\u2212") })
	}},
	{name: "numbers: minus behind", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return regexp.MustCompile(`-([0-9.]+)`).ReplaceAllString(r, "$1-") })
	}},
	{name: "numbers: ten digits", change: func(d *draft) {
		d.rows(func(_ int, r string) string { return regexp.MustCompile(`(\.\d+)`).ReplaceAllString(r, "${1}000000") })
	}},
	{name: "code: mark", change: func(d *draft) { d.text.Encoding = "bom" }},
	{name: "code: Windows-1252", change: func(d *draft) { d.text.Encoding = "latin-1" }},
	{name: "code: UTF-16, little end", change: func(d *draft) { d.text.Encoding = "utf-16le" }},
	{name: "code: UTF-16, big end, no mark", change: func(d *draft) { d.text.Encoding = "utf-16be" }},
	{name: "code: UTF-16, no mark, lost half", change: func(d *draft) {
		d.after = append(d.after, func(b []byte) []byte { return append(wide(b, 2, binary.LittleEndian), 0x41) })
	}},
	{name: "code: UTF-32, little end", change: func(d *draft) {
		d.after = append(d.after, func(b []byte) []byte {
			return append([]byte{0xff, 0xfe, 0, 0}, wide(b, 4, binary.LittleEndian)...)
		})
	}},
	{name: "code: UTF-32, big end, no mark", change: func(d *draft) {
		d.after = append(d.after, func(b []byte) []byte { return wide(b, 4, binary.BigEndian) })
	}},
	{name: "code: encoded twice", change: func(d *draft) { d.text.Encoding = "twice" }},
	{name: "line ends: CRLF", change: func(d *draft) { d.text.EOL = "\r\n" }},
	{name: "line ends: CR", change: func(d *draft) { d.text.EOL = "\r" }},
	{name: "line ends: CR CR LF", change: func(d *draft) { d.text.EOL = "\r\r\n" }},
	{name: "line ends: mixed", change: func(d *draft) {
		d.rows(func(i int, r string) string { return r + strings.Repeat("\r", i%2) })
	}},
	{name: "line ends: an empty line behind each", change: func(d *draft) { d.text.EOL = "\n\n" }},
	{name: "end: zero bytes", change: func(d *draft) {
		d.after = append(d.after, func(b []byte) []byte { return append(b, make([]byte, 4000)...) })
	}},
	{name: "end: control Z", change: func(d *draft) {
		d.after = append(d.after, func(b []byte) []byte { return append(b, 0x1a) })
	}},
	{name: "end: last line cut", change: func(d *draft) { d.text.Cut = true }},
	{name: "zero bytes within", change: func(d *draft) {
		d.rows(func(i int, r string) string {
			if i == 2500 {
				return r + strings.Repeat("\x00", 30)
			}
			return r
		})
	}},
	{name: "packed: gzip", change: func(d *draft) { d.ending = ".gz"; d.after = append(d.after, gzipped) }},
	{name: "packed: gzip, plain name", change: func(d *draft) { d.after = append(d.after, gzipped) }},
	{name: "packed: zip with a picture", change: func(d *draft) { d.ending = ".zip"; d.after = append(d.after, zipped) }},
	{name: "packed: workbook", change: func(d *draft) {
		d.ending = ".xlsx"
		s := &d.Sample
		d.after = append(d.after, func([]byte) []byte { return logfiletest.Workbook(*s) })
	}},
}

var (
	grouped = regexp.MustCompile(`\b(\d{1,3})(\d{3})\b`)
	plain   = regexp.MustCompile(`(,)(\d)`)
)

func gzipped(b []byte) []byte {
	var out bytes.Buffer
	z := gzip.NewWriter(&out)
	_, err := z.Write(b)
	if err = firstError(err, z.Close()); err != nil {
		panic(err) // a buffer takes everything
	}
	return out.Bytes()
}

func zipped(b []byte) []byte {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for name, data := range map[string][]byte{"export/picture.png": []byte("\x89PNG\r\n\x1a\n"), "export/log.txt": b} {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(data)
		}
		if err != nil {
			panic(fmt.Sprint(name, err))
		}
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

func firstError(errs ...error) error {
	for _, e := range errs {
		if e != nil {
			return e
		}
	}
	return nil
}

func wide(b []byte, n int, order binary.ByteOrder) []byte {
	out := make([]byte, 0, n*len(b))
	var w [4]byte
	for _, r := range string(b) {
		if n == 2 {
			for _, u := range utf16.Encode([]rune{r}) {
				order.PutUint16(w[:], u)
				out = append(out, w[:2]...)
			}
			continue
		}
		order.PutUint32(w[:], uint32(r))
		out = append(out, w[:]...)
	}
	return out
}
