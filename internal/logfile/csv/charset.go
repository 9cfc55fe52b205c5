package csv

import (
	"bytes"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/unicode"
	"golang.org/x/text/encoding/unicode/utf32"
	"golang.org/x/text/transform"
)

// charset is how bytes beyond ASCII are to be understood. The body of a log is
// ASCII in all of them but UTF-16, so only names and words are decoded.
type charset struct {
	name string
	enc  encoding.Encoding // nil: UTF-8 as it is
}

func (c charset) decode(b []byte) string {
	if c.enc == nil || isASCII(b) {
		return mend(strings.ToValidUTF8(string(b), "\uFFFD"))
	}
	s, err := c.enc.NewDecoder().Bytes(b)
	if err != nil {
		return strings.ToValidUTF8(string(b), "\uFFFD")
	}
	return string(s)
}

func isASCII(b []byte) bool {
	for _, c := range b {
		if c >= 0x80 {
			return false
		}
	}
	return true
}

// mend repairs text that was encoded twice ("Â°" for "°"): if its characters,
// taken as Windows-1252 bytes, are themselves valid UTF-8, those were meant.
func mend(s string) string {
	if isASCII([]byte(s)) || !strings.ContainsAny(s, "ÂÃâÎÏ") {
		return s
	}
	if b, err := charmap.Windows1252.NewEncoder().String(s); err == nil && utf8.ValidString(b) {
		return b
	}
	// The same through ISO 8859-1, where every byte is its own character.
	b := make([]byte, 0, len(s))
	for _, r := range s {
		if r > 0xFF {
			return s
		}
		b = append(b, byte(r))
	}
	if utf8.Valid(b) {
		return string(b)
	}
	return s
}

// plainText looks at the first bytes of a file and wraps the reader so that it
// delivers UTF-8 or an 8-bit superset of ASCII, without a byte-order mark.
func plainText(head []byte, r io.Reader) (io.Reader, string) {
	utf16 := func(e unicode.Endianness, name string) (io.Reader, string) {
		return transform.NewReader(r, unicode.UTF16(e, unicode.UseBOM).NewDecoder()), name
	}
	wide := func(e utf32.Endianness, b utf32.BOMPolicy) (io.Reader, string) {
		return transform.NewReader(r, utf32.UTF32(e, b).NewDecoder()), "UTF-32"
	}
	switch {
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE, 0, 0}):
		return wide(utf32.LittleEndian, utf32.UseBOM)
	case bytes.HasPrefix(head, []byte{0, 0, 0xFE, 0xFF}):
		return wide(utf32.BigEndian, utf32.UseBOM)
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		return utf16(unicode.LittleEndian, "UTF-16")
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		return utf16(unicode.BigEndian, "UTF-16")
	}
	// Without a mark: every other byte of ASCII text is zero.
	n := min(len(head)&^1, 512)
	var zero [2]int
	var of4 [4]int
	for i := range n {
		if head[i] == 0 {
			zero[i&1]++
			of4[i&3]++
		}
	}
	if q := (n &^ 3) / 4; q >= 4 { // three of four
		switch {
		case of4[0] == 0 && of4[2] >= q && of4[3] >= q:
			return wide(utf32.LittleEndian, utf32.IgnoreBOM)
		case of4[3] == 0 && of4[0] >= q && of4[1] >= q:
			return wide(utf32.BigEndian, utf32.IgnoreBOM)
		}
	}
	if n >= 4 && zero[1] > n/4 && zero[0] == 0 {
		return transform.NewReader(r, unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM).NewDecoder()), "UTF-16"
	}
	if n >= 4 && zero[0] > n/4 && zero[1] == 0 {
		return transform.NewReader(r, unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM).NewDecoder()), "UTF-16"
	}
	return r, ""
}

// guessCharset decides how to decode the words of a text: UTF-8 if it is valid,
// else the two-byte code of Japanese if it fits and is dense, else one of 8 bits.
func guessCharset(head []byte) charset {
	// The head may end inside a character.
	cut := head
	for i := 0; i < 3 && len(cut) > 0 && !utf8.Valid(cut); i++ {
		cut = cut[:len(cut)-1]
	}
	if utf8.Valid(cut) {
		return charset{"UTF-8", nil}
	}
	if s, err := japanese.ShiftJIS.NewDecoder().Bytes(cut); err == nil {
		kana, high, bad := 0, 0, 0
		alone, run := 0, 0 // signs without another beside them; signs running so far
		for _, r := range string(s) {
			if r >= 0x3040 && r < 0x3100 || r >= 0x4E00 && r < 0xA000 {
				kana++
				run++
				continue
			}
			if run == 1 {
				alone++
			}
			run = 0
			switch {
			case r == utf8.RuneError:
				bad++
			case r >= 0x80:
				high++
			}
		}
		// An accented letter and the plain one behind it look like one sign: words of Japanese are longer.
		if bad == 0 && kana > 4 && kana > high && 2*alone < kana {
			return charset{"Shift JIS", japanese.ShiftJIS}
		}
	}
	return guessEightBit(cut)
}

func isOneOf(c byte, set ...byte) bool { return bytes.IndexByte(set, c) >= 0 }

func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
