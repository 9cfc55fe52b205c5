package parquet

import (
	"math"
	"math/big"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/deprecated"
	"github.com/parquet-go/parquet-go/format"

	"traplight/internal/logfile/table"
)

// julian1970 is the Julian day number of 1970-01-01, from which INT96 time stamps
// count their days.
const julian1970 = 2440588

// meaning is what a column's stored whole numbers stand for, from its logical
// type or, in old files, its converted type.
type meaning struct {
	logical   format.LogicalTypeValue
	legacy    deprecated.ConvertedType // -1: none
	scale     int                      // decimals of a decimal number
	perSecond int64                    // units of a time in a second
}

// meaningOf finds the meaning of a column and sets the kind of out for times.
func meaningOf(t pq.Type, out *table.Column) meaning {
	m := meaning{legacy: -1}
	if l := t.LogicalType(); l != nil {
		m.logical = l.Value
	}
	if p := t.ConvertedType(); p != nil {
		m.legacy = *p
	}
	switch l := m.logical.(type) {
	case *format.DecimalType:
		m.scale, m.logical, m.legacy = int(l.Scale), nil, deprecated.Decimal
	case *format.TimestampType:
		m.perSecond = unitsPerSecond(l.Unit)
		out.Kind = table.DateTime
		if l.IsAdjustedToUTC {
			out.Zone = "Z"
		}
	case *format.TimeType:
		m.perSecond = unitsPerSecond(l.Unit)
		out.Kind, out.Period = table.TimeOfDay, 86400
	case *format.DateType:
		out.Kind = table.Date
	}
	if out.Kind != table.Numbers {
		return m
	}
	switch m.legacy {
	case deprecated.TimestampMillis:
		out.Kind, out.Zone, m.perSecond = table.DateTime, "Z", 1000
	case deprecated.TimestampMicros:
		out.Kind, out.Zone, m.perSecond = table.DateTime, "Z", 1e6
	case deprecated.TimeMillis:
		out.Kind, out.Period, m.perSecond = table.TimeOfDay, 86400, 1000
	case deprecated.TimeMicros:
		out.Kind, out.Period, m.perSecond = table.TimeOfDay, 86400, 1e6
	case deprecated.Date:
		out.Kind = table.Date
	}
	return m
}

// isUnsigned says whether whole numbers have no sign.
func (m meaning) isUnsigned() bool {
	switch m.legacy {
	case deprecated.Uint8, deprecated.Uint16, deprecated.Uint32, deprecated.Uint64:
		return true
	}
	i, ok := m.logical.(*format.IntType)
	return ok && !i.IsSigned
}

// whole gives the function from stored values to numbers for a column of whole
// numbers; get takes the whole number out of a value.
func (m meaning) whole(get func(pq.Value) int64, out *table.Column) func(pq.Value) float64 {
	switch {
	case out.Kind == table.DateTime:
		// Days and the rest apart, or milliseconds would drown.
		var first int64
		set := false
		return func(v pq.Value) float64 {
			n := get(v)
			if !set {
				day := int64(math.Floor(float64(n) / float64(m.perSecond) / 86400))
				first, set = day*86400*m.perSecond, true
				out.Day = day
			}
			return float64(n-first) / float64(m.perSecond)
		}
	case out.Kind == table.TimeOfDay:
		return func(v pq.Value) float64 { return float64(get(v)) / float64(m.perSecond) }
	case out.Kind == table.Date:
		var first int64
		set := false
		return func(v pq.Value) float64 {
			n := get(v)
			if !set {
				first, set = n, true
				out.Day = n
			}
			return float64(n-first) * 86400
		}
	case m.scale != 0:
		p := math.Pow10(m.scale)
		return func(v pq.Value) float64 { return float64(get(v)) / p }
	}
	return func(v pq.Value) float64 { return float64(get(v)) }
}

// oldStamp gives the function from INT96 time stamps to seconds: nanoseconds of
// the day and a Julian day number.
func oldStamp(out *table.Column) func(pq.Value) float64 {
	out.Kind = table.DateTime
	var firstDay int64
	set := false
	return func(v pq.Value) float64 {
		x := v.Int96()
		day := int64(int32(x[2])) - julian1970
		nanos := int64(uint64(x[1])<<32 | uint64(x[0]))
		if !set {
			firstDay, set = day, true
			out.Day = day
		}
		return float64(day-firstDay)*86400 + float64(nanos)/1e9
	}
}

// converter gives the function from a column's stored values to numbers, nil for
// doubles as they are, and the kind under which to keep them. It sets the
// column's kind for times. Times come as seconds since 1970, and fromMidnight
// brings them to the first midnight.
func converter(c *pq.Column, out *table.Column) (func(pq.Value) float64, pq.Kind) {
	kind := c.Type().Kind()
	m := meaningOf(c.Type(), out)
	decimal := func(v pq.Value) float64 { return bigEndian(v.ByteArray()) / math.Pow10(m.scale) }
	switch kind {
	case pq.Boolean:
		return func(v pq.Value) float64 {
			if v.Boolean() {
				return 1
			}
			return 0
		}, kind
	case pq.Int32:
		if m.isUnsigned() {
			return func(v pq.Value) float64 { return float64(v.Uint32()) }, kind
		}
		return m.whole(func(v pq.Value) int64 { return int64(v.Int32()) }, out), kind
	case pq.Int64:
		if m.isUnsigned() {
			return func(v pq.Value) float64 { return float64(v.Uint64()) }, kind
		}
		return m.whole(pq.Value.Int64, out), kind
	case pq.Int96:
		return oldStamp(out), kind
	case pq.Float:
		return func(v pq.Value) float64 { return float64(v.Float()) }, kind
	case pq.Double:
		return nil, kind
	case pq.FixedLenByteArray:
		if m.legacy == deprecated.Decimal {
			return decimal, kind
		}
		if _, ok := m.logical.(*format.Float16Type); ok {
			return func(v pq.Value) float64 { return half(v.ByteArray()) }, kind
		}
		return func(pq.Value) float64 { return math.NaN() }, kind
	}
	if m.legacy == deprecated.Decimal {
		return decimal, pq.FixedLenByteArray
	}
	return nil, pq.ByteArray
}

func unitsPerSecond(u format.TimeUnit) int64 {
	switch u.Value.(type) {
	case *format.MilliSeconds:
		return 1000
	case *format.MicroSeconds:
		return 1e6
	}
	return 1e9
}

// fromMidnight makes times count from the midnight of the first one, whatever
// the first value was.
func fromMidnight(c *table.Column) {
	for _, v := range c.Values {
		if v == v {
			days := math.Floor(v / 86400)
			if days != 0 {
				c.Day += int64(days)
				for i := range c.Values {
					c.Values[i] -= days * 86400
				}
			}
			return
		}
	}
}

// bigEndian is a whole number in two's complement, as decimals are stored.
func bigEndian(b []byte) float64 {
	n := new(big.Int).SetBytes(b)
	if len(b) > 0 && b[0]&0x80 != 0 {
		n.Sub(n, new(big.Int).Lsh(big.NewInt(1), uint(8*len(b))))
	}
	f, _ := new(big.Float).SetInt(n).Float64()
	return f
}

// half is a 16-bit float, little-endian, as IEEE 754 has it.
func half(b []byte) float64 {
	if len(b) != 2 {
		return math.NaN()
	}
	n := uint(b[0]) | uint(b[1])<<8
	exp, frac := int(n>>10&0x1F), float64(n&0x3FF)
	var v float64
	switch exp {
	case 0:
		v = math.Ldexp(frac, -24)
	case 31:
		v = math.Inf(1)
		if frac != 0 {
			return math.NaN()
		}
	default:
		v = math.Ldexp(1024+frac, exp-25)
	}
	if n&0x8000 != 0 {
		v = -v
	}
	return v
}
