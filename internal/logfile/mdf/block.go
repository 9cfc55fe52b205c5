package mdf

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf8"
)

// Limits of a file that is still read.
const (
	mostBlocks = 1 << 20  // in one file
	mostBlock  = 64 << 20 // bytes of one block that is no data
)

var le = binary.LittleEndian

// file reads blocks, each of which begins with a four-letter name, its length and
// the number of its links (ASAM MDF 4.1, published description, from memory).
type file struct {
	src    io.ReaderAt
	size   int64
	blocks int
}

// block is one block of the file: links to others, then its own data.
type block struct {
	id    string
	at    int64
	links []int64
	data  []byte // nil for blocks of samples, see body
	body  int64  // where the data begin in the file
	len   int64  // bytes of data
}

var errBlock = errors.New("a block lies outside the file")

// header reads a block's name, links and the place of its data.
func (f *file) header(at int64) (*block, error) {
	if f.blocks++; f.blocks > mostBlocks {
		return nil, errors.New("too many blocks")
	}
	if at < 64 || at+24 > f.size {
		return nil, errBlock
	}
	var h [24]byte
	if _, err := f.src.ReadAt(h[:], at); err != nil {
		return nil, err
	}
	length, links := le.Uint64(h[8:]), le.Uint64(h[16:])
	if h[0] != '#' || h[1] != '#' || length < 24 || length > uint64(f.size-at) || links > (length-24)/8 {
		return nil, fmt.Errorf("no block at %d", at)
	}
	b := &block{id: string(h[2:4]), at: at, body: at + 24 + 8*int64(links), len: int64(length) - 24 - 8*int64(links)}
	raw := make([]byte, 8*links)
	if _, err := f.src.ReadAt(raw, at+24); err != nil {
		return nil, err
	}
	for i := range int(links) {
		b.links = append(b.links, int64(le.Uint64(raw[8*i:])))
	}
	return b, nil
}

// read reads a whole block of a certain sort with at least so many links and
// bytes of data.
func (f *file) read(at int64, id string, links, data int) (*block, error) {
	b, err := f.header(at)
	if err != nil {
		return nil, err
	}
	if b.id != id || len(b.links) < links || b.len < int64(data) || b.len > mostBlock {
		return nil, fmt.Errorf("block at %d is %s with %d links and %d bytes, want %s", at, b.id, len(b.links), b.len, id)
	}
	b.data = make([]byte, b.len)
	_, err = f.src.ReadAt(b.data, b.body)
	return b, err
}

// text reads a text block, or the text inside a block of XML; "" for no link.
func (f *file) text(at int64) string {
	if at == 0 {
		return ""
	}
	b, err := f.header(at)
	if err != nil || b.len > 1<<20 || b.id != "TX" && b.id != "MD" {
		return ""
	}
	raw := make([]byte, b.len)
	if _, err := f.src.ReadAt(raw, b.body); err != nil {
		return ""
	}
	if i := bytes.IndexByte(raw, 0); i >= 0 {
		raw = raw[:i]
	}
	s := strings.TrimSpace(string(raw))
	if !utf8.ValidString(s) {
		s = strings.ToValidUTF8(s, "\uFFFD")
	}
	if b.id == "MD" {
		_, s, _ = strings.Cut(s, "<TX")
		_, s, _ = strings.Cut(s, ">")
		s, _, _ = strings.Cut(s, "</TX>")
	}
	return strings.TrimSpace(s)
}
