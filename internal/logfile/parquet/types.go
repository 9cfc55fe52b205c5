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

// converter gives the function from a column's stored values to numbers, nil for
// doubles as they are. It sets the column's kind for times. Times come as
// seconds since 1970, and fromMidnight brings them to the first midnight.
func converter(c *pq.Column, out *table.Column) (func(pq.Value) float64, pq.Kind) {
	t := c.Type()
	kind := t.Kind()
	var logical format.LogicalTypeValue
	if l := t.LogicalType(); l != nil {
		logical = l.Value
	}
	legacy := deprecated.ConvertedType(-1)
	if p := t.ConvertedType(); p != nil {
		legacy = *p
	}
	scale := 0
	if d, ok := logical.(*format.DecimalType); ok {
		scale = int(d.Scale)
		logical = nil
		legacy = deprecated.Decimal
	}
	perSecond := int64(0)
	switch l := logical.(type) {
	case *format.TimestampType:
		perSecond = unitsPerSecond(l.Unit)
		out.Kind = table.DateTime
		if l.IsAdjustedToUTC {
			out.Zone = "Z"
		}
	case *format.TimeType:
		perSecond = unitsPerSecond(l.Unit)
		out.Kind, out.Period = table.TimeOfDay, 86400
	case *format.DateType:
		out.Kind = table.Date
	}
	if out.Kind == table.Numbers {
		switch legacy {
		case deprecated.TimestampMillis:
			out.Kind, out.Zone, perSecond = table.DateTime, "Z", 1000
		case deprecated.TimestampMicros:
			out.Kind, out.Zone, perSecond = table.DateTime, "Z", 1e6
		case deprecated.TimeMillis:
			out.Kind, out.Period, perSecond = table.TimeOfDay, 86400, 1000
		case deprecated.TimeMicros:
			out.Kind, out.Period, perSecond = table.TimeOfDay, 86400, 1e6
		case deprecated.Date:
			out.Kind = table.Date
		}
	}
	whole := func(get func(pq.Value) int64) func(pq.Value) float64 {
		switch {
		case out.Kind == table.DateTime:
			// Whole seconds and the rest apart, or milliseconds would drown.
			var first int64
			set := false
			return func(v pq.Value) float64 {
				n := get(v)
				if !set {
					day := int64(math.Floor(float64(n) / float64(perSecond) / 86400))
					first, set = day*86400*perSecond, true
					out.Day = day
				}
				return float64(n-first) / float64(perSecond)
			}
		case out.Kind == table.TimeOfDay:
			return func(v pq.Value) float64 { return float64(get(v)) / float64(perSecond) }
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
		case scale != 0:
			p := math.Pow10(scale)
			return func(v pq.Value) float64 { return float64(get(v)) / p }
		}
		return func(v pq.Value) float64 { return float64(get(v)) }
	}
	unsigned := false
	if i, ok := logical.(*format.IntType); ok {
		unsigned = !i.IsSigned
	}
	switch legacy {
	case deprecated.Uint8, deprecated.Uint16, deprecated.Uint32, deprecated.Uint64:
		unsigned = true
	}
	switch kind {
	case pq.Boolean:
		return func(v pq.Value) float64 {
			if v.Boolean() {
				return 1
			}
			return 0
		}, kind
	case pq.Int32:
		if unsigned {
			return func(v pq.Value) float64 { return float64(v.Uint32()) }, kind
		}
		return whole(func(v pq.Value) int64 { return int64(v.Int32()) }), kind
	case pq.Int64:
		if unsigned {
			return func(v pq.Value) float64 { return float64(v.Uint64()) }, kind
		}
		return whole(pq.Value.Int64), kind
	case pq.Int96:
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
		}, kind
	case pq.Float:
		return func(v pq.Value) float64 { return float64(v.Float()) }, kind
	case pq.Double:
		return nil, kind
	case pq.FixedLenByteArray:
		if legacy == deprecated.Decimal {
			p := math.Pow10(scale)
			return func(v pq.Value) float64 { return bigEndian(v.ByteArray()) / p }, kind
		}
		if _, ok := logical.(*format.Float16Type); ok {
			return func(v pq.Value) float64 { return half(v.ByteArray()) }, kind
		}
		return func(pq.Value) float64 { return math.NaN() }, kind
	}
	if legacy == deprecated.Decimal {
		p := math.Pow10(scale)
		return func(v pq.Value) float64 { return bigEndian(v.ByteArray()) / p }, pq.FixedLenByteArray
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
