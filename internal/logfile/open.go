package logfile

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/mdf"
	"traplight/internal/logfile/nmea"
	"traplight/internal/logfile/parquet"
	"traplight/internal/logfile/table"
)

// Error says what is wrong with a file and where; errors.Is tells the reason.
type Error = table.Error

// The reasons for which a file cannot be read.
var (
	ErrEmpty   = table.ErrEmpty
	ErrBinary  = table.ErrBinary
	ErrNoTable = table.ErrNoTable
	ErrNoRows  = table.ErrNoRows
	ErrNoClock = table.ErrNoClock
	ErrDamaged = table.ErrDamaged
	ErrOther   = table.ErrOther
	ErrForeign = table.ErrForeign
)

// Open reads the log at path. The text of a large file is not kept in memory.
func Open(path string) (*Log, error) { return OpenContext(context.Background(), path) }

// OpenContext is Open that stops when ctx is done: a large file takes seconds. The error
// then is that of ctx.
func OpenContext(ctx context.Context, path string) (*Log, error) {
	name := filepath.Base(path)
	f, err := os.Open(path)
	if err != nil {
		var pe *fs.PathError
		if errors.As(err, &pe) {
			err = pe.Err
		}
		return nil, &Error{File: path, Err: err}
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, &Error{File: path, Err: err}
	}
	if info.IsDir() {
		return nil, &Error{File: path, Err: ErrNoTable, Reason: "it is a folder"}
	}
	if !info.Mode().IsRegular() {
		return nil, &Error{File: path, Err: ErrOther, Reason: "a log is read twice, and this can be read but once: save it as a file first"}
	}
	log, err := read(name, stoppable{f, ctx}, info.Size())
	if stopped := ctx.Err(); stopped != nil {
		return nil, stopped
	}
	return log, err
}

// stoppable is a file that can be read until ctx is done.
type stoppable struct {
	file
	ctx context.Context
}

func (s stoppable) Read(p []byte) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.file.Read(p)
}

func (s stoppable) ReadAt(p []byte, off int64) (int, error) {
	if err := s.ctx.Err(); err != nil {
		return 0, err
	}
	return s.file.ReadAt(p, off)
}

// Read reads a log from memory. name is used in messages and as the log's file
// name.
func Read(name string, data []byte) (*Log, error) {
	return read(filepath.Base(name), bytes.NewReader(data), int64(len(data)))
}

// aloneSize is the size, bytes, from which a file is hashed beside the reading.
const aloneSize = 1 << 20

// file is what every source can do.
type file interface {
	io.Reader
	io.ReaderAt
	io.Seeker
}

func read(name string, f file, size int64) (*Log, error) {
	sum := make(chan string, 1)
	take := func() { sum <- hash(io.NewSectionReader(f, 0, size)) }
	if size < aloneSize {
		take()
	} else {
		go take()
	}
	t, err := readTable(name, f, size)
	hex := <-sum
	if err != nil {
		return nil, err
	}
	log, err := assemble(name, t)
	if err != nil {
		return nil, err
	}
	log.SHA256 = hex
	return log, nil
}

func hash(r io.Reader) string {
	h := sha256.New()
	if _, err := io.Copy(h, r); err != nil {
		return ""
	}
	return hex.EncodeToString(h.Sum(nil))
}

// readTable finds the format by the first bytes and reads it.
func readTable(name string, f file, size int64) (*table.Table, error) {
	if size == 0 {
		return nil, &Error{File: name, Err: ErrEmpty}
	}
	head := make([]byte, 16<<10)
	n, err := f.ReadAt(head, 0)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, &Error{File: name, Err: err}
	}
	head = head[:n]
	if what := foreign(head); what != "" {
		return nil, &Error{File: name, Err: ErrOther, Reason: "it is " + what, Hint: "export the log as text (CSV), workbook (xlsx), Parquet or MDF 4"}
	}
	switch {
	case bytes.HasPrefix(head, []byte{0x1f, 0x8b}):
		return readGzip(name, f, size)
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("PK\x05\x06")):
		return readZip(name, f, size)
	case bytes.HasPrefix(head, []byte(parquet.Magic)):
		return parquet.Read(name, f, size)
	case mdf.Is(head):
		return mdf.Read(name, f, size)
	case nmea.Is(head):
		return nmea.Read(name, f)
	}
	return csv.Read(name, f, size)
}
