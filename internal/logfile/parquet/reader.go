// Package parquet reads tables from Parquet files through
// github.com/parquet-go/parquet-go, column by column. Flat columns of numbers,
// switches, times and text are taken; nested ones are left out and told.
package parquet

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
)

// Magic begins and ends every Parquet file.
const Magic = "PAR1"

// mostCells bounds what is unpacked: Parquet can pack a constant column into
// next to nothing.
const mostCells = 1 << 27

// Read reads a Parquet file.
func Read(name string, src io.ReaderAt, size int64) (t *table.Table, err error) {
	fail := func(err error, reason string) error { return &table.Error{File: name, Err: err, Reason: reason} }
	defer func() {
		// The library panics on some damaged files.
		if r := recover(); r != nil {
			t, err = nil, fail(table.ErrDamaged, fmt.Sprint(r))
		}
	}()
	if err := footerFits(src, size); err != nil {
		return nil, fail(table.ErrDamaged, err.Error())
	}
	f, err := pq.OpenFile(src, size, pq.SkipBloomFilters(true), pq.SkipPageIndex(true))
	if err != nil {
		return nil, fail(table.ErrDamaged, err.Error())
	}
	meta := f.Metadata()
	t = &table.Table{Format: "parquet", Meta: map[string]string{}, Clock: -1}
	for _, kv := range meta.KeyValueMetadata {
		if len(kv.Value) < 200 {
			t.Meta[kv.Key] = kv.Value
		}
	}
	leaves := leavesOf(f.Root())
	if len(leaves) == 0 {
		return nil, fail(table.ErrNoTable, "no columns")
	}
	rows := f.NumRows()
	if rows <= 0 {
		return nil, fail(table.ErrNoRows, "")
	}
	if rows*int64(len(leaves)) > mostCells {
		return nil, fail(table.ErrForeign, fmt.Sprintf("%d rows of %d columns", rows, len(leaves)))
	}
	if codec := refused(meta); codec != "" {
		return nil, fail(table.ErrForeign, "compression "+codec)
	}
	var names []string
	var kept []*pq.Column
	for _, c := range leaves {
		if c.MaxRepetitionLevel() > 0 {
			t.Notes = append(t.Notes, fmt.Sprintf("column %q is a list and is left out", strings.Join(c.Path(), ".")))
			continue
		}
		kept = append(kept, c)
		names = append(names, strings.Join(c.Path(), "."))
	}
	names, units := csv.SplitUnits(names)
	for i, c := range kept {
		for _, g := range meta.RowGroups {
			if c.Index() >= len(g.Columns) {
				return nil, fail(table.ErrDamaged, fmt.Sprintf("column %q is missing in a group of rows", names[i]))
			}
			if err := pagesFit(src, size, &g.Columns[c.Index()].MetaData, rows); err != nil {
				return nil, fail(table.ErrDamaged, fmt.Sprintf("column %q: %v", names[i], err))
			}
		}
		col, err := readColumn(f, c, int(rows), int(min(rows, 4*size+1024)))
		if err != nil {
			return nil, fail(table.ErrDamaged, fmt.Sprintf("column %q: %v", names[i], err))
		}
		col.Name = names[i]
		if units[i] != "" {
			col.Unit = units[i]
		}
		t.Columns = append(t.Columns, col)
	}
	if len(t.Columns) == 0 {
		return nil, fail(table.ErrNoTable, "no flat columns")
	}
	t.Rows = int(rows)
	t.Parts = []table.Part{{Row: 0}}
	return t, nil
}

// footerFits looks at the length of the footer, which the library would make room
// for unseen.
func footerFits(src io.ReaderAt, size int64) error {
	var end [8]byte
	if size < 12 {
		return errors.New("it ends within its footer")
	}
	if _, err := src.ReadAt(end[:], size-8); err != nil {
		return err
	}
	if n := int64(binary.LittleEndian.Uint32(end[:4])); n+12 > size {
		return fmt.Errorf("a footer of %d bytes in a file of %d; the file is cut or was not finished", n, size)
	}
	return nil
}

func leavesOf(c *pq.Column) []*pq.Column {
	if c.Leaf() {
		return []*pq.Column{c}
	}
	var out []*pq.Column
	for _, k := range c.Columns() {
		out = append(out, leavesOf(k)...)
	}
	return out
}

// refused names a compression that cannot be read, "" when there is none. The
// old LZ4 code is framed as Hadoop does it, which the format's own page calls
// deprecated and undocumented.
func refused(meta *format.FileMetaData) string {
	for _, g := range meta.RowGroups {
		for _, c := range g.Columns {
			switch c.MetaData.Codec {
			case format.Uncompressed, format.Snappy, format.Gzip, format.Brotli, format.Zstd, format.Lz4Raw:
			case format.CompressionCodec(5):
				return "LZ4 in Hadoop's framing; write the file anew with ZSTD, SNAPPY or LZ4_RAW"
			default:
				return c.MetaData.Codec.String()
			}
		}
	}
	return ""
}
