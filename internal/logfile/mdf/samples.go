package mdf

import (
	"bytes"
	"compress/zlib"
	"errors"
	"fmt"
	"io"
)

// mostSwell bounds how far a packed block may grow.
const (
	mostSwell = 200
	swellFree = 64 << 20 // bytes that are always allowed
)

// records gathers the raw records of a data group: one DT block, a packed DZ
// block, a list of them (DL), or a header list (HL) before the list.
func (f *file) records(at int64) ([]byte, error) {
	var out []byte
	if at == 0 {
		return nil, nil
	}
	b, err := f.header(at)
	if err != nil {
		return nil, err
	}
	if b.id == "HL" {
		if len(b.links) < 1 {
			return nil, errBlock
		}
		if b, err = f.header(b.links[0]); err != nil {
			return nil, err
		}
	}
	if b.id != "DL" {
		return f.piece(b, nil)
	}
	for {
		if len(b.links) < 1 {
			return nil, errBlock
		}
		for _, link := range b.links[1:] {
			if link == 0 {
				continue
			}
			p, err := f.header(link)
			if err != nil {
				return nil, err
			}
			if out, err = f.piece(p, out); err != nil {
				return nil, err
			}
		}
		if b.links[0] == 0 {
			return out, nil
		}
		if b, err = f.header(b.links[0]); err != nil {
			return nil, err
		}
		if b.id != "DL" {
			return nil, fmt.Errorf("block at %d is %s, want DL", b.at, b.id)
		}
	}
}

// piece appends the bytes of one data block.
func (f *file) piece(b *block, out []byte) ([]byte, error) {
	if int64(len(out)) > mostSwell*f.size+swellFree {
		return nil, errors.New("the samples unpack to far more than the file")
	}
	switch b.id {
	case "DT", "SD", "DV":
		at := len(out)
		out = append(out, make([]byte, b.len)...)
		_, err := f.src.ReadAt(out[at:], b.body)
		return out, err
	case "DZ":
		return f.unpack(b, out)
	}
	return nil, fmt.Errorf("block at %d is %s, which holds no samples that are known", b.at, b.id)
}

// unpack inflates a DZ block; a transposed one is put back by rows.
func (f *file) unpack(b *block, out []byte) ([]byte, error) {
	if b.len < 24 {
		return nil, errBlock
	}
	var h [24]byte
	if _, err := f.src.ReadAt(h[:], b.body); err != nil {
		return nil, err
	}
	kind, width := h[2], int(le.Uint32(h[4:]))
	plain, packed := le.Uint64(h[8:]), le.Uint64(h[16:])
	if packed > uint64(b.len-24) || plain > uint64(mostSwell*f.size+swellFree) {
		return nil, errBlock
	}
	z, err := zlib.NewReader(io.NewSectionReader(f.src, b.body+24, int64(packed)))
	if err != nil {
		return nil, err
	}
	defer z.Close()
	var buf bytes.Buffer
	if _, err := io.Copy(&buf, io.LimitReader(z, int64(plain))); err != nil {
		return nil, err
	}
	raw := buf.Bytes()
	if uint64(len(raw)) != plain {
		return nil, fmt.Errorf("a packed block holds %d bytes, want %d", len(raw), plain)
	}
	switch kind {
	case 0:
	case 1:
		if width < 1 {
			return nil, errors.New("a transposed block without a width")
		}
		rows := len(raw) / width
		flat := make([]byte, len(raw))
		for i := range rows {
			for j := range width {
				flat[i*width+j] = raw[j*rows+i]
			}
		}
		copy(flat[rows*width:], raw[rows*width:])
		raw = flat
	default:
		return nil, fmt.Errorf("packing %d is not known", kind)
	}
	return append(out, raw...), nil
}
