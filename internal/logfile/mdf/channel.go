package mdf

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf16"
)

// The sorts of channels that are told apart.
const (
	fixedLength   = 0
	variable      = 1
	master        = 2
	virtualMaster = 3
	virtual       = 6
)

// channel is a column of a channel group.
type channel struct {
	name, unit string
	kind       byte // fixedLength …
	sync       byte // of a master: 1 time
	dataType   byte
	bitOffset  uint
	byteOffset uint
	bits       uint
	flags      uint32
	invalid    uint // bit position among the invalidation bits
	conv       *conversion
	values     []float64
	text       []string // of text channels
	skipped    string   // why it has no values
}

// group is a channel group with its own master.
type group struct {
	name     string
	cycles   uint64
	recordID uint64
	size     int // bytes of a record, invalidation included
	dataSize int
	flags    uint16
	channels []*channel
}

// readChannel reads a CN block.
func (f *file) readChannel(at int64) (c *channel, next, component int64, err error) {
	b, err := f.read(at, "CN", 8, 72)
	if err != nil {
		return nil, 0, 0, err
	}
	d := b.data
	c = &channel{
		name: f.text(b.links[2]), unit: f.text(b.links[6]), kind: d[0], sync: d[1], dataType: d[2], bitOffset: uint(d[3]),
		byteOffset: uint(le.Uint32(d[4:])), bits: uint(le.Uint32(d[8:])), flags: le.Uint32(d[12:]), invalid: uint(le.Uint32(d[16:])),
	}
	if b.links[4] != 0 {
		if c.conv, err = f.readConversion(b.links[4], 0); err != nil {
			return nil, 0, 0, err
		}
		if c.unit == "" && c.conv != nil {
			c.unit = c.conv.unit
		}
	}
	return c, b.links[0], b.links[1], nil
}

// decode fills a channel's values from the records of its group.
func (c *channel) decode(g *group, records []byte, step, skip int) error {
	n := 0
	if step > 0 {
		n = len(records) / step
	}
	switch c.kind {
	case virtual, virtualMaster:
		c.values = make([]float64, n)
		for i := range c.values {
			c.values[i] = c.conv.value(float64(i))
		}
		return nil
	case variable:
		c.skipped = "values of variable length"
		return nil
	}
	if c.dataType >= 6 && c.dataType <= 9 {
		return c.decodeText(g, records, step, skip, n)
	}
	if c.dataType > 5 {
		c.skipped = fmt.Sprintf("data type %d", c.dataType)
		return nil
	}
	bytes := (c.bitOffset + c.bits + 7) / 8
	if c.bits == 0 || c.bits > 64 || c.bitOffset > 7 || bytes > 9 || c.byteOffset+bytes > uint(g.dataSize) {
		c.skipped = "its bits lie outside the record"
		return nil
	}
	if (c.dataType == 4 || c.dataType == 5) && c.bits != 16 && c.bits != 32 && c.bits != 64 {
		c.skipped = fmt.Sprintf("a float of %d bits", c.bits)
		return nil
	}
	c.values = make([]float64, n)
	for i := range n {
		rec := records[i*step+skip:]
		if c.invalidAt(g, rec) {
			c.values[i] = math.NaN()
			continue
		}
		c.values[i] = c.conv.value(c.number(rec[c.byteOffset : c.byteOffset+bytes]))
	}
	return nil
}

// invalidAt says whether a record marks the channel's value as no reading.
func (c *channel) invalidAt(g *group, rec []byte) bool {
	if c.flags&1 != 0 {
		return true
	}
	if c.flags&2 == 0 {
		return false
	}
	at := uint(g.dataSize) + c.invalid/8
	return at < uint(g.size) && rec[at]>>(c.invalid%8)&1 != 0
}

// number reads an integer or float of any width.
func (c *channel) number(b []byte) float64 {
	var raw uint64
	if c.dataType%2 == 1 { // the odd ones are big-endian
		for _, x := range b {
			raw = raw<<8 | uint64(x)
		}
		raw >>= c.bitOffset
	} else {
		for i := min(len(b), 8) - 1; i >= 0; i-- {
			raw = raw<<8 | uint64(b[i])
		}
		raw >>= c.bitOffset
		if len(b) == 9 {
			raw |= uint64(b[8]) << (64 - c.bitOffset)
		}
	}
	if c.bits < 64 {
		raw &= 1<<c.bits - 1
	}
	switch c.dataType {
	case 2, 3:
		return float64(int64(raw<<(64-c.bits)) >> (64 - c.bits))
	case 4, 5:
		switch c.bits {
		case 64:
			return math.Float64frombits(raw)
		case 32:
			return float64(math.Float32frombits(uint32(raw)))
		}
		return half(uint16(raw))
	}
	return float64(raw)
}

// half is a 16-bit float as IEEE 754 has it.
func half(n uint16) float64 {
	exp, frac := int(n>>10&0x1F), float64(n&0x3FF)
	var v float64
	switch {
	case exp == 0:
		v = math.Ldexp(frac, -24)
	case exp == 31 && frac == 0:
		v = math.Inf(1)
	case exp == 31:
		return math.NaN()
	default:
		v = math.Ldexp(1024+frac, exp-25)
	}
	if n&0x8000 != 0 {
		v = -v
	}
	return v
}

func (c *channel) decodeText(g *group, records []byte, step, skip, n int) error {
	width := c.bits / 8
	if c.bits%8 != 0 || c.byteOffset+width > uint(g.dataSize) || width > 4096 {
		c.skipped = "its bytes lie outside the record"
		return nil
	}
	c.text = make([]string, n)
	for i := range n {
		rec := records[i*step+skip:]
		b := rec[c.byteOffset : c.byteOffset+width]
		switch c.dataType {
		case 8, 9:
			u := make([]uint16, len(b)/2)
			for k := range u {
				if c.dataType == 8 {
					u[k] = uint16(b[2*k]) | uint16(b[2*k+1])<<8
				} else {
					u[k] = uint16(b[2*k])<<8 | uint16(b[2*k+1])
				}
			}
			c.text[i] = cut(string(utf16.Decode(u)))
		case 6:
			r := make([]rune, len(b))
			for k, x := range b {
				r[k] = rune(x)
			}
			c.text[i] = cut(string(r))
		default:
			c.text[i] = cut(strings.ToValidUTF8(string(b), "\uFFFD"))
		}
	}
	return nil
}

func cut(s string) string {
	s, _, _ = strings.Cut(s, "\x00")
	return s
}
