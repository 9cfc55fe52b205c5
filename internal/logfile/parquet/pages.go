package parquet

import (
	"bufio"
	"errors"
	"fmt"
	"io"

	"github.com/parquet-go/parquet-go/encoding/thrift"
	"github.com/parquet-go/parquet-go/format"
)

// A page may unpack to so many bytes, and so many for each packed one. Writers
// keep pages at about 1 MB; the library makes room for whatever a header claims.
const (
	pageBytes     = 64 << 20
	pagePackRatio = 256
)

// counted tells how many bytes were taken from a reader.
type counted struct {
	r *bufio.Reader
	n int64
}

func (c *counted) Read(b []byte) (int, error) {
	n, err := c.r.Read(b)
	c.n += int64(n)
	return n, err
}

func (c *counted) ReadByte() (byte, error) {
	b, err := c.r.ReadByte()
	if err == nil {
		c.n++
	}
	return b, err
}

// pagesFit walks over the headers of a column chunk's pages before the library
// believes them.
func pagesFit(src io.ReaderAt, size int64, m *format.ColumnMetaData, rows int64) error {
	from := m.DataPageOffset
	if d := m.DictionaryPageOffset; d > 0 && d < from {
		from = d
	}
	if from < 4 || m.TotalCompressedSize < 0 || m.TotalCompressedSize > size-from {
		return fmt.Errorf("%d bytes from %d on in a file of %d", m.TotalCompressedSize, from, size)
	}
	end := from + m.TotalCompressedSize
	buf := bufio.NewReaderSize(nil, 512)
	for at := from; at < end; {
		buf.Reset(io.NewSectionReader(src, at, end-at))
		c := &counted{r: buf}
		var h format.PageHeader
		if err := thrift.NewDecoder((&thrift.CompactProtocol{}).NewReader(c)).Decode(&h); err != nil {
			return fmt.Errorf("the header of a page at byte %d: %w", at, err)
		}
		packed, bytes, values := int64(h.CompressedPageSize), int64(h.UncompressedPageSize), int64(0)
		if h.DataPageHeader.Valid {
			values = int64(h.DataPageHeader.V.NumValues)
		}
		if h.DataPageHeaderV2.Valid {
			values = int64(h.DataPageHeaderV2.V.NumValues)
		}
		switch {
		case packed < 0 || bytes < 0 || values < 0 || packed > end-at-c.n:
			return errors.New("a page goes on beyond its column")
		case bytes > max(pageBytes, pagePackRatio*packed):
			return fmt.Errorf("a page of %d bytes claims to unpack to %d", packed, bytes)
		case values > rows:
			return fmt.Errorf("a page of %d values for %d rows", values, rows)
		case h.DictionaryPageHeader.Valid && int64(h.DictionaryPageHeader.V.NumValues) > 8*bytes:
			return errors.New("a dictionary with more entries than bits")
		}
		at += c.n + packed
	}
	return nil
}
