package columns_test

import (
	"encoding/json"
	"fmt"
	"io"
	"math"

	"github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"traplight/internal/store/columns"
)

// readParquet reads what WriteParquet wrote.
func readParquet(r io.ReaderAt, size int64) (columns.Table, error) {
	f, err := parquet.OpenFile(r, size)
	if err != nil {
		return columns.Table{}, err
	}
	text, ok := f.Lookup("traplight.columns")
	var about []struct{ Name, Unit, Quantity string }
	if !ok || json.Unmarshal([]byte(text), &about) != nil || len(about) != len(f.Schema().Fields()) || len(about) == 0 {
		return columns.Table{}, fmt.Errorf("the columns are not described in the file")
	}
	t := columns.Table{Meta: map[string]string{}}
	for _, kv := range f.Metadata().KeyValueMetadata {
		if kv.Key != "traplight.columns" {
			t.Meta[kv.Key] = kv.Value
		}
	}
	for i, field := range f.Schema().Fields() {
		values, err := readColumn(f, i, field)
		if err != nil {
			return columns.Table{}, fmt.Errorf("column %q: %w", field.Name(), err)
		}
		if i == 0 {
			t.Time = values
			continue
		}
		t.Columns = append(t.Columns, columns.Column{Name: about[i].Name, Unit: about[i].Unit, Quantity: about[i].Quantity, Values: values})
	}
	return t, nil
}

func readColumn(f *parquet.File, column int, field parquet.Field) ([]float64, error) {
	ten := 1.0
	if l := field.Type().LogicalType(); l != nil {
		d, ok := l.Value.(*format.DecimalType)
		if !ok || d.Scale < 0 || d.Scale > 9 {
			return nil, fmt.Errorf("its type is %v", field.Type())
		}
		ten = math.Pow10(int(d.Scale))
	}
	out := make([]float64, 0, f.NumRows())
	buffer := make([]parquet.Value, 1000)
	for _, g := range f.RowGroups() {
		pages := g.ColumnChunks()[column].Pages()
		for {
			page, err := pages.ReadPage()
			if err == io.EOF {
				break
			}
			if err == nil {
				out, err = readPage(out, page, ten, buffer)
				parquet.Release(page)
			}
			if err != nil {
				pages.Close()
				return nil, err
			}
		}
		if err := pages.Close(); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func readPage(out []float64, page parquet.Page, ten float64, buffer []parquet.Value) ([]float64, error) {
	for r := page.Values(); ; {
		n, err := r.ReadValues(buffer)
		for _, v := range buffer[:n] {
			switch {
			case v.IsNull():
				out = append(out, math.NaN())
			case v.Kind() == parquet.Double:
				out = append(out, v.Double())
			case v.Kind() == parquet.Int32:
				out = append(out, float64(v.Int32())/ten)
			case v.Kind() == parquet.Int64:
				out = append(out, float64(v.Int64())/ten)
			default:
				return nil, fmt.Errorf("its type is %v", v.Kind())
			}
		}
		if err == io.EOF {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
	}
}
