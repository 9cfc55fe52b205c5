package columns

import (
	"encoding/json"
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"github.com/parquet-go/parquet-go"
)

const (
	metaKey   = "traplight.columns" // what each column is, as JSON
	batchRows = 8192                // rows handed over at once; bounds memory beside the columns
)

// described is what the metadata says of a column.
type described struct {
	Heading  string `json:"heading"`
	Name     string `json:"name"`
	Unit     string `json:"unit,omitempty"`
	Quantity string `json:"quantity,omitempty"`
}

// inOrder is a group whose fields stay in the order given; the library sorts
// them by name.
type inOrder struct {
	parquet.Group
	fields []parquet.Field
}

func (g inOrder) Fields() []parquet.Field { return g.fields }

// packing is how one column is stored.
type packing struct {
	decimal, wide bool
	scale         int
	blanks        bool
}

func packingOf(values []float64) (p packing) {
	p.scale, p.wide, p.decimal = scaleOf(values)
	p.blanks = slices.ContainsFunc(values, math.IsNaN)
	return p
}

func (p packing) node() parquet.Node {
	var n parquet.Node
	switch {
	case p.decimal && p.wide:
		n = parquet.Encoded(parquet.Decimal(p.scale, 18, parquet.Int64Type), &parquet.DeltaBinaryPacked)
	case p.decimal:
		n = parquet.Encoded(parquet.Decimal(p.scale, 9, parquet.Int32Type), &parquet.DeltaBinaryPacked)
	default:
		n = parquet.Leaf(parquet.DoubleType)
	}
	n = parquet.Compressed(n, &parquet.Zstd)
	if p.blanks {
		n = parquet.Optional(n)
	}
	return n
}

// WriteParquet writes a table; columns with times of their own are brought
// onto common rows first.
func WriteParquet(w io.Writer, t Table) error {
	t = t.OneClock()
	headings := append([]string{timeName}, t.headings()...)
	all := [][]float64{t.Time}
	about := []described{{Heading: timeName, Name: "time", Unit: "s", Quantity: "time"}}
	for i, c := range t.Columns {
		if len(c.Values) != len(t.Time) {
			return fmt.Errorf("column %q has %d values for %d rows", c.Name, len(c.Values), len(t.Time))
		}
		all = append(all, c.Values)
		about = append(about, described{headings[i+1], c.Name, c.Unit, c.Quantity})
	}
	group, packs := parquet.Group{}, make([]packing, len(all))
	for i, values := range all {
		packs[i] = packingOf(values)
		group[headings[i]] = packs[i].node()
	}
	fields := group.Fields()
	slices.SortFunc(fields, func(a, b parquet.Field) int {
		return slices.Index(headings, a.Name()) - slices.Index(headings, b.Name())
	})
	text, err := json.Marshal(about)
	if err != nil {
		return err
	}
	options := []parquet.WriterOption{parquet.NewSchema("log", inOrder{group, fields}), parquet.CreatedBy("traplight", "", "")}
	for _, k := range slices.Sorted(maps.Keys(t.Meta)) {
		options = append(options, parquet.KeyValueMetadata(k, t.Meta[k]))
	}
	options = append(options, parquet.KeyValueMetadata(metaKey, string(text)))
	out := parquet.NewGenericWriter[any](w, options...)
	buffer := make([]parquet.Value, 0, batchRows)
	for i, c := range out.ColumnWriters() {
		for from := 0; from < len(all[i]); from += batchRows {
			buffer = packs[i].values(buffer[:0], all[i][from:min(from+batchRows, len(all[i]))], i)
			if _, err := c.WriteRowValues(buffer); err != nil {
				return err
			}
		}
	}
	return out.Close()
}

// values turns samples into what the column stores.
func (p packing) values(out []parquet.Value, in []float64, column int) []parquet.Value {
	level := 0
	if p.blanks {
		level = 1
	}
	ten := power10(p.scale)
	for _, x := range in {
		var v parquet.Value
		switch {
		case math.IsNaN(x):
			out = append(out, parquet.NullValue().Level(0, 0, column))
			continue
		case p.decimal && p.wide:
			v = parquet.Int64Value(int64(math.Round(x * ten)))
		case p.decimal:
			v = parquet.Int32Value(int32(math.Round(x * ten)))
		default:
			v = parquet.DoubleValue(x)
		}
		out = append(out, v.Level(0, level, column))
	}
	return out
}
