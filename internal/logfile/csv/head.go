package csv

import (
	"bytes"
	"errors"
	"io"

	"traplight/internal/logfile/table"
)

// headSize is how much of a file is looked at before reading it, bytes.
const headSize = 128 << 10

// head is the beginning of a text and where the rest comes from.
type head struct {
	text   []byte
	whole  bool      // text is all there is
	rest   io.Reader // what follows, in the same code as text
	size   int64     // length of the whole in that code, bytes; 0 unknown
	broken error     // why the source broke off within text
}

// readHead reads the beginning of a text and brings UTF-16 to UTF-8. The error
// is the source's, or table.ErrEmpty.
func readHead(src io.Reader, size int64, book *table.Book) (h head, err error) {
	h = head{rest: src, size: size}
	room := headSize
	if size > 0 && size < headSize {
		room = int(size) + 1
	}
	if h.text, h.whole, err = fill(src, room); err != nil {
		if len(h.text) == 0 {
			return h, err
		}
		h.broken = err
	}
	if len(h.text) == 0 {
		return h, table.ErrEmpty
	}
	var all io.Reader = bytes.NewReader(h.text)
	if !h.whole {
		all = io.MultiReader(all, src)
	}
	if text, code := plainText(h.text, all); code != "" {
		book.Add("text is "+code, 0)
		h.size /= 2
		h.rest = text
		if h.text, h.whole, err = fill(text, headSize/2); err != nil {
			return h, err
		}
	}
	h.text = bytes.TrimPrefix(h.text, []byte("\xEF\xBB\xBF"))
	if h.whole {
		h.text = bytes.TrimRight(h.text, "\x00") // room that a logger reserved and never filled
	}
	return h, nil
}

// fill reads up to room bytes; whole says that the source ended before.
func fill(src io.Reader, room int) (text []byte, whole bool, err error) {
	text = make([]byte, room)
	n, err := io.ReadFull(src, text)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		err = nil
	}
	return text[:n], n < room, err
}

// looksBinary says whether the first bytes cannot be text.
func looksBinary(head []byte) bool {
	odd := 0
	for _, c := range head {
		if c < 0x20 && !isOneOf(c, '\t', '\n', '\r', '\f', 0x1a, 0x1b, 0x0b) || c == 0x7f {
			odd++
		}
	}
	return odd*50 > len(head) || bytes.IndexByte(head, 0) >= 0 && odd*200 > len(head)
}
