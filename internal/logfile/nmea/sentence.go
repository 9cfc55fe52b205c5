package nmea

import (
	"bytes"
)

// verdict is what became of a line.
type verdict int

const (
	good verdict = iota
	badChecksum
	noChecksum
	notSentence
)

// parse finds the sentence in a line and checks it. A line may hold rubbish
// before the sentence, or the torn beginning of another: each dollar sign is
// tried, the last one that checks wins. fields are the address ("GNRMC") and the
// data fields.
func parse(line []byte, fields [][]byte) ([][]byte, verdict) {
	result := notSentence
	for end := len(line); ; {
		at := bytes.LastIndexByte(line[:end], '$')
		if at < 0 {
			return nil, result
		}
		body, v := check(line[at+1:])
		if v == good {
			fields = fields[:0]
			for {
				i := bytes.IndexByte(body, ',')
				if i < 0 {
					return append(fields, body), good
				}
				fields = append(fields, body[:i])
				body = body[i+1:]
			}
		}
		if result == notSentence {
			result = v
		}
		end = at
	}
}

// check verifies the checksum: the exclusive or of all bytes between the dollar
// sign and the star, as two hexadecimal digits (IEC 61162-1, from memory).
func check(b []byte) (body []byte, v verdict) {
	if len(b) < 5 || !isUpper(b[0]) {
		return nil, notSentence
	}
	star := bytes.IndexByte(b, '*')
	if star < 0 {
		return nil, noChecksum
	}
	if star+3 > len(b) {
		return nil, badChecksum
	}
	hi, lo := hex(b[star+1]), hex(b[star+2])
	if hi < 0 || lo < 0 {
		return nil, badChecksum
	}
	var sum byte
	for _, c := range b[:star] {
		sum ^= c
	}
	if int(sum) != hi<<4|lo {
		return nil, badChecksum
	}
	return b[:star], good
}

func isUpper(c byte) bool { return c >= 'A' && c <= 'Z' }

func hex(c byte) int {
	switch {
	case c >= '0' && c <= '9':
		return int(c - '0')
	case c >= 'A' && c <= 'F':
		return int(c-'A') + 10
	case c >= 'a' && c <= 'f':
		return int(c-'a') + 10
	}
	return -1
}

// Is says whether the first bytes of a file look like such sentences: three lines
// among the first hundred with a dollar sign, an address and a good checksum, or
// at least one if there are few lines.
func Is(head []byte) bool {
	sentences, lines := 0, 0
	for len(head) > 0 && lines < 100 {
		line := head
		if i := bytes.IndexByte(head, '\n'); i >= 0 {
			line, head = head[:i], head[i+1:]
		} else {
			head = nil
		}
		line = bytes.TrimSpace(line)
		if len(line) == 0 || line[0] == '#' {
			continue
		}
		lines++
		if _, v := parse(line, nil); v == good {
			sentences++
		}
	}
	return sentences >= 3 && 4*sentences >= lines || sentences > 0 && 2*sentences > lines
}
