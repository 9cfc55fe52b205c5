package mdf

import (
	"fmt"
	"math"
	"sort"
)

// conversion turns a raw value into a physical one. Nil is the identity.
type conversion struct {
	kind  byte
	unit  string
	vals  []float64
	refs  []*conversion // of conversions to text: the branches that are conversions themselves
	known []bool        // which branches are conversions; the others are words
}

// The sorts of conversions (ASAM MDF 4.1).
const (
	identity = iota
	linear
	rational
	algebraic
	tableInterpolated
	tableSteps
	rangeToValue
	valueToText
	rangeToText
	textToValue
	textToText
)

func (f *file) readConversion(at int64, depth int) (*conversion, error) {
	if depth > 4 {
		return nil, fmt.Errorf("conversions nested too deep at %d", at)
	}
	b, err := f.read(at, "CC", 4, 24)
	if err != nil {
		return nil, err
	}
	d := b.data
	c := &conversion{kind: d[0], unit: f.text(b.links[1])}
	refs, vals := int(le.Uint16(d[4:])), int(le.Uint16(d[6:]))
	if len(d) < 24+8*vals || len(b.links) < 4+refs {
		return nil, fmt.Errorf("conversion at %d is cut", at)
	}
	for i := range vals {
		c.vals = append(c.vals, math.Float64frombits(le.Uint64(d[24+8*i:])))
	}
	if c.kind == valueToText || c.kind == rangeToText {
		for _, link := range b.links[4 : 4+refs] {
			var branch *conversion
			isConversion := false
			if link != 0 {
				h, err := f.header(link)
				if err != nil {
					return nil, err
				}
				if h.id == "CC" {
					if branch, err = f.readConversion(link, depth+1); err != nil {
						return nil, err
					}
					isConversion = true
				}
			}
			c.refs = append(c.refs, branch)
			c.known = append(c.known, isConversion)
		}
	}
	need := map[byte]int{linear: 2, rational: 6}[c.kind]
	if len(c.vals) < need || (c.kind == tableInterpolated || c.kind == tableSteps) && len(c.vals) < 2 || c.kind == rangeToValue && len(c.vals) < 4 {
		return nil, fmt.Errorf("conversion at %d has %d values", at, len(c.vals))
	}
	return c, nil
}

// value converts one raw value. A value that stands for a word alone is kept as it
// is: the word is not a reading.
func (c *conversion) value(x float64) float64 {
	if c == nil {
		return x
	}
	v := c.vals
	switch c.kind {
	case linear:
		return v[0] + v[1]*x
	case rational:
		return (v[0]*x*x + v[1]*x + v[2]) / (v[3]*x*x + v[4]*x + v[5])
	case tableInterpolated, tableSteps:
		return c.lookUp(x)
	case rangeToValue:
		for i := 0; i+2 < len(v); i += 3 {
			if x >= v[i] && x <= v[i+1] {
				return v[i+2]
			}
		}
		return v[len(v)-1]
	case valueToText:
		for i := range v {
			if i < len(c.refs) && x == v[i] {
				return c.branch(i, x)
			}
		}
		return c.branch(len(c.refs)-1, x)
	case rangeToText:
		for i := 0; 2*i+1 < len(v); i++ {
			if i < len(c.refs) && x >= v[2*i] && x <= v[2*i+1] {
				return c.branch(i, x)
			}
		}
		return c.branch(len(c.refs)-1, x)
	}
	return x
}

func (c *conversion) branch(i int, x float64) float64 {
	if i >= 0 && i < len(c.refs) && c.known[i] {
		return c.refs[i].value(x)
	}
	return x
}

// lookUp finds a value in a table of pairs.
func (c *conversion) lookUp(x float64) float64 {
	n := len(c.vals) / 2
	key := func(i int) float64 { return c.vals[2*i] }
	val := func(i int) float64 { return c.vals[2*i+1] }
	i := sort.Search(n, func(i int) bool { return key(i) >= x })
	switch {
	case i == 0:
		return val(0)
	case i == n:
		return val(n - 1)
	case key(i) == x:
		return val(i)
	}
	share := (x - key(i-1)) / (key(i) - key(i-1))
	if c.kind == tableInterpolated {
		return val(i-1) + share*(val(i)-val(i-1))
	}
	if share < 0.5 {
		return val(i - 1)
	}
	return val(i)
}
