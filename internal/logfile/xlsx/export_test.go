package xlsx

import (
	"archive/zip"
	"bufio"
	"bytes"
)

// Lines is a sheet of a workbook as the lines of text that it is read through.
func Lines(z *zip.Reader, sheet string) (string, error) {
	b := &book{parts: map[string]*zip.File{}}
	for _, f := range z.File {
		b.parts[f.Name] = f
	}
	for _, step := range []func() error{b.workbook, b.styles, b.strings} {
		if err := step(); err != nil {
			return "", err
		}
	}
	var text bytes.Buffer
	out := bufio.NewWriter(&text)
	err := b.lines(b.parts[sheet], out)
	out.Flush()
	return text.String(), err
}
