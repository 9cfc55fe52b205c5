package mdf_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"math"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/reftest"
)

// writer puts blocks one behind the other and remembers where.
type writer struct{ b []byte }

func (w *writer) block(id string, links []int64, data []byte) int64 {
	for len(w.b)%8 != 0 {
		w.b = append(w.b, 0)
	}
	at := int64(len(w.b))
	w.b = append(w.b, "##"+id...)
	w.b = binary.LittleEndian.AppendUint32(w.b, 0)
	w.b = binary.LittleEndian.AppendUint64(w.b, uint64(24+8*len(links)+len(data)))
	w.b = binary.LittleEndian.AppendUint64(w.b, uint64(len(links)))
	for _, l := range links {
		w.b = binary.LittleEndian.AppendUint64(w.b, uint64(l))
	}
	w.b = append(w.b, data...)
	return at
}

func (w *writer) text(s string) int64 { return w.block("TX", nil, append([]byte(s), 0)) }

const wordSize = 16

// encode writes a sample as one group of doubles and fixed texts, the samples
// packed and transposed or as they are.
func encode(s logfiletest.Sample, packed bool) []byte {
	w := &writer{b: make([]byte, 64+24+8*6+32)}
	var records []byte
	width := 8
	for _, c := range s.Columns {
		if c.Text != nil {
			width += wordSize
		} else {
			width += 8
		}
	}
	for i, t := range s.Time {
		records = binary.LittleEndian.AppendUint64(records, math.Float64bits(t))
		for _, c := range s.Columns {
			if c.Text != nil {
				var b [wordSize]byte
				copy(b[:], c.Text[i])
				records = append(records, b[:]...)
			} else {
				records = binary.LittleEndian.AppendUint64(records, math.Float64bits(c.Values[i]))
			}
		}
	}
	var data int64
	if packed {
		flat := make([]byte, len(records))
		for i := range len(s.Time) {
			for j := range width {
				flat[j*len(s.Time)+i] = records[i*width+j]
			}
		}
		var z bytes.Buffer
		zw := zlib.NewWriter(&z)
		if _, err := zw.Write(flat); err != nil {
			panic(err)
		}
		if err := zw.Close(); err != nil {
			panic(err)
		}
		h := append([]byte("DT\x01\x00"), binary.LittleEndian.AppendUint32(nil, uint32(width))...)
		h = binary.LittleEndian.AppendUint64(h, uint64(len(records)))
		h = binary.LittleEndian.AppendUint64(h, uint64(z.Len()))
		dz := w.block("DZ", nil, append(h, z.Bytes()...))
		dl := w.block("DL", []int64{0, dz}, make([]byte, 16))
		data = w.block("HL", []int64{dl}, make([]byte, 8))
	} else {
		data = w.block("DT", nil, records)
	}
	next := int64(0)
	offset := width
	for k := len(s.Columns); k >= 0; k-- {
		name, unit, kind, sync, dataType, size := "t", "s", byte(2), byte(1), byte(4), 8
		if k > 0 {
			c := s.Columns[k-1]
			name, unit, kind, sync = c.Name, c.Unit, 0, 0
			if c.Text != nil {
				dataType, size = 7, wordSize
			}
		}
		offset -= size
		d := make([]byte, 72)
		d[0], d[1], d[2] = kind, sync, dataType
		binary.LittleEndian.PutUint32(d[4:], uint32(offset))
		binary.LittleEndian.PutUint32(d[8:], uint32(8*size))
		next = w.block("CN", []int64{next, 0, w.text(name), 0, 0, 0, w.text(unit), 0}, d)
	}
	cg := make([]byte, 32)
	binary.LittleEndian.PutUint64(cg[8:], uint64(len(s.Time)))
	binary.LittleEndian.PutUint32(cg[24:], uint32(width))
	group := w.block("CG", []int64{0, next, 0, 0, 0, 0}, cg)
	dg := w.block("DG", []int64{0, group, data, 0}, make([]byte, 8))
	copy(w.b, "MDF     4.10    made    ")
	head := &writer{b: make([]byte, 64)}
	head.block("HD", []int64{dg, 0, 0, 0, 0, 0}, make([]byte, 32))
	copy(w.b[64:], head.b[64:])
	return w.b
}

func TestSuite(t *testing.T) {
	logfiletest.Run(t, "plain.mf4", logfiletest.Format{}, func(s logfiletest.Sample) []byte { return encode(s, false) })
	logfiletest.Run(t, "packed.mf4", logfiletest.Format{}, func(s logfiletest.Sample) []byte { return encode(s, true) })
}

// TestClocks: three groups with clocks of their own on one axis, times in seconds
// since 1970 while the header says 1980.
func TestClocks(t *testing.T) {
	log, err := logfile.Open(reftest.Path(t, "data", "mdf4-samples", "sample1.mf4"))
	if err != nil {
		t.Fatal(err)
	}
	if log.Start != "2021-04-08T14:26:33" || len(log.RowTime) != 6030 {
		t.Errorf("%d rows from %s", len(log.RowTime), log.Start)
	}
	own := 0
	for _, c := range log.Columns {
		if c.Times == nil {
			continue
		}
		own++
		if len(c.Times) != len(c.Values) || math.Abs(c.Times[0]-log.RowTime[0]) > 0.02 || math.Abs(c.Times[len(c.Times)-1]-log.RowTime[len(log.RowTime)-1]) > 0.02 {
			t.Errorf("%q runs from %v to %v s, the rows from %v to %v", c.Name, c.Times[0], c.Times[len(c.Times)-1], log.RowTime[0], log.RowTime[len(log.RowTime)-1])
		}
	}
	if own != 4 {
		t.Errorf("%d channels have clocks of their own, want 4", own)
	}
}

func FuzzRead(f *testing.F) {
	for _, s := range logfiletest.Samples() {
		s.Time = s.Time[:8]
		for i := range s.Columns {
			if c := &s.Columns[i]; c.Text != nil {
				c.Text = c.Text[:8]
			} else {
				c.Values = c.Values[:8]
			}
		}
		f.Add(encode(s, false))
		f.Add(encode(s, true))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		logfiletest.Read(t, "fuzz.mf4", data)
	})
}
