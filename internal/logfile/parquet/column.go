package parquet

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	pq "github.com/parquet-go/parquet-go"

	"traplight/internal/logfile/csv"
	"traplight/internal/logfile/table"
)

// cells collects one column.
type cells struct {
	values []float64
	text   []string // when the column is text
	isText bool
	conv   func(pq.Value) float64
}

// readColumn reads a leaf over all row groups. room is how many values to make
// room for: a damaged file may claim any number of rows.
func readColumn(f *pq.File, c *pq.Column, rows, room int) (table.Column, error) {
	var out table.Column
	conv, kind := converter(c, &out)
	k := cells{isText: kind == pq.ByteArray, conv: conv}
	if k.isText {
		k.text = make([]string, 0, room)
	} else {
		k.values = make([]float64, 0, room)
	}
	buf := make([]pq.Value, 1024)
	for _, g := range f.RowGroups() {
		chunk := g.ColumnChunks()[c.Index()]
		pages := chunk.Pages()
		for {
			page, err := pages.ReadPage()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				pages.Close()
				return out, err
			}
			err = k.page(page, buf, rows)
			pq.Release(page)
			if err != nil {
				pages.Close()
				return out, err
			}
		}
		if err := pages.Close(); err != nil {
			return out, err
		}
	}
	if k.isText {
		if len(k.text) != rows {
			return out, fmt.Errorf("%d values for %d rows", len(k.text), rows)
		}
		return csv.FromText(k.text), nil
	}
	if len(k.values) != rows {
		return out, fmt.Errorf("%d values for %d rows", len(k.values), rows)
	}
	out.Values = k.values
	if out.Kind == table.DateTime {
		fromMidnight(&out)
	}
	return out, nil
}

// page takes the values of a page, whole columns of doubles without a detour.
func (k *cells) page(page pq.Page, buf []pq.Value, rows int) error {
	if int64(len(k.values)+len(k.text))+page.NumValues() > int64(rows) {
		return fmt.Errorf("more values than rows")
	}
	values := page.Values()
	if d, ok := values.(pq.DoubleReader); ok && k.conv == nil && page.NumNulls() == 0 {
		at := len(k.values)
		k.values = slices.Grow(k.values, int(page.NumValues()))[:at+int(page.NumValues())]
		for at < len(k.values) {
			n, err := d.ReadDoubles(k.values[at:])
			at += n
			if err != nil && (!errors.Is(err, io.EOF) || at < len(k.values)) {
				return err
			}
			if n == 0 {
				return io.ErrUnexpectedEOF
			}
		}
		return nil
	}
	for {
		n, err := values.ReadValues(buf)
		for _, v := range buf[:n] {
			switch {
			case len(k.values)+len(k.text) >= rows:
				return fmt.Errorf("more values than rows")
			case k.isText && v.IsNull():
				k.text = append(k.text, "")
			case k.isText:
				k.text = append(k.text, strings.ToValidUTF8(string(v.ByteArray()), "\uFFFD"))
			case v.IsNull():
				k.values = append(k.values, math.NaN())
			case k.conv == nil:
				k.values = append(k.values, v.Double())
			default:
				k.values = append(k.values, k.conv(v))
			}
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
	}
}
