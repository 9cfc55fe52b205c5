package logfile

import (
	"archive/zip"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"sort"
	"strings"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
	"traplight/internal/logfile/xlsx"
)

// readGzip reads a packed text.
func readGzip(name string, f file, size int64) (*table.Table, error) {
	z, err := gzip.NewReader(f)
	if err != nil {
		return nil, &Error{File: name, Err: ErrDamaged, Reason: err.Error()}
	}
	defer z.Close()
	return csv.Read(name, packed(z, size), 0)
}

// Text of logs packs ten times, seldom twenty. What unpacks to far more is not a
// log, and is not to fill the memory.
const (
	packRatio = 100
	packGrace = 64 << 20 // bytes of text that are always allowed
)

// packedReader tells a packed stream that breaks off from one that ends, and
// stops one that never does.
type packedReader struct {
	r    io.Reader
	left int64
}

func packed(r io.Reader, size int64) *packedReader {
	return &packedReader{r, packRatio*size + packGrace}
}

func (p *packedReader) Read(b []byte) (int, error) {
	n, err := p.r.Read(b)
	p.left -= int64(n)
	switch {
	case p.left < 0:
		return n, fmt.Errorf("%w: it unpacks to more than %d times its size", ErrForeign, packRatio)
	case err != nil && !errors.Is(err, io.EOF):
		if errors.Is(err, io.ErrUnexpectedEOF) {
			return n, fmt.Errorf("%w: it breaks off; copy it anew from the recorder", ErrDamaged)
		}
		return n, fmt.Errorf("%w: %s", ErrDamaged, err.Error())
	}
	return n, err
}

// readZip reads the log in an archive: the largest member that can be read. The
// others are told.
func readZip(name string, f file, size int64) (*table.Table, error) {
	z, err := zip.NewReader(f, size)
	if err != nil {
		return nil, &Error{File: name, Err: ErrDamaged, Reason: err.Error()}
	}
	if xlsx.Is(z) {
		return xlsx.Read(name, z)
	}
	var members []*zip.File
	for _, m := range z.File {
		base := m.Name[strings.LastIndexByte(m.Name, '/')+1:]
		if !m.FileInfo().IsDir() && base != "" && !strings.HasPrefix(base, ".") && !strings.HasPrefix(m.Name, "__MACOSX/") {
			members = append(members, m)
		}
	}
	if len(members) == 0 {
		return nil, &Error{File: name, Err: ErrEmpty, Reason: "the archive holds no file"}
	}
	sort.SliceStable(members, func(i, j int) bool { return members[i].UncompressedSize64 > members[j].UncompressedSize64 })
	var first error
	for _, m := range members {
		t, err := readMember(name, m)
		if err != nil {
			if first == nil {
				first = err
			}
			continue
		}
		if n := len(members) - 1; n > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("the archive holds %d files; %s, the largest that is a log, was read", n+1, m.Name))
		}
		return t, nil
	}
	return nil, first
}

func readMember(name string, m *zip.File) (*table.Table, error) {
	r, err := m.Open()
	if err != nil {
		return nil, &Error{File: name, Err: ErrDamaged, Reason: m.Name + ": " + err.Error()}
	}
	defer r.Close()
	return csv.Read(name+"/"+m.Name, packed(r, int64(min(m.CompressedSize64, 1<<40))), int64(min(m.UncompressedSize64, 64*m.CompressedSize64)))
}
