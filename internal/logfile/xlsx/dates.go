package xlsx

import (
	"encoding/xml"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// numberFormat is how a style shows numbers, as far as it matters here.
type numberFormat int

const (
	plainNumber numberFormat = iota
	dateTime
	dateOnly
	timeOfDay // of a day, or elapsed
)

// styles reads the number formats of the cell styles.
func (b *book) styles() error {
	custom := map[int]numberFormat{}
	inCells := false
	return b.each("xl/styles.xml", func(_ *xml.Decoder, e xml.StartElement) error {
		switch e.Name.Local {
		case "numFmt":
			if id, err := strconv.Atoi(attribute(e, "numFmtId")); err == nil {
				custom[id] = formatOf(attribute(e, "formatCode"))
			}
		case "cellXfs":
			inCells = true
		case "cellStyleXfs", "cellStyles", "dxfs":
			inCells = false
		case "xf":
			if inCells {
				id, _ := strconv.Atoi(attribute(e, "numFmtId"))
				f, ok := custom[id]
				if !ok {
					f = builtIn(id)
				}
				b.formats = append(b.formats, f)
			}
		}
		return nil
	})
}

// builtIn is a format by its fixed number (ECMA-376 part 1, 18.8.30).
func builtIn(id int) numberFormat {
	switch {
	case id >= 14 && id <= 17, id >= 27 && id <= 31, id >= 50 && id <= 58:
		return dateOnly
	case id >= 18 && id <= 21, id >= 45 && id <= 47, id >= 32 && id <= 35:
		return timeOfDay
	case id == 22:
		return dateTime
	}
	return plainNumber
}

// formatOf reads a format code: letters outside quotes and brackets tell.
func formatOf(code string) numberFormat {
	var letters strings.Builder
	quoted, bracket := false, false
	elapsed := false
	for i := 0; i < len(code); i++ {
		c := code[i]
		switch {
		case c == '"':
			quoted = !quoted
		case quoted:
		case c == '\\' || c == '_' || c == '*':
			i++
		case c == '[':
			bracket = true
			if i+1 < len(code) && strings.ContainsRune("hHmMsS", rune(code[i+1])) {
				elapsed = true
			}
		case c == ']':
			bracket = false
		case bracket:
		case c == ';':
			i = len(code)
		default:
			letters.WriteByte(c | 0x20)
		}
	}
	s := letters.String()
	date := strings.ContainsAny(s, "yd")
	clock := elapsed || strings.ContainsAny(s, "hs")
	switch {
	case date && clock:
		return dateTime
	case date:
		return dateOnly
	case clock:
		return timeOfDay
	}
	return plainNumber
}

// moment writes a serial day number as a date or time.
func (b *book) moment(x float64, f numberFormat) string {
	days := math.Floor(x)
	// Microseconds are the finest that a day number of today can hold.
	micros := int64(math.Round((x - days) * 86400e6))
	if f == timeOfDay {
		micros += int64(days) * 86400e6
		sign := ""
		if micros < 0 {
			sign, micros = "-", -micros
		}
		if micros >= 48*3600e6 { // elapsed for days: plain seconds say more
			return sign + strconv.FormatFloat(float64(micros)/1e6, 'f', -1, 64)
		}
		s := micros / 1e6
		return fmt.Sprintf("%s%02d:%02d:%02d.%06d", sign, s/3600, s/60%60, s%60, micros%1e6)
	}
	epoch := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if b.from1904 {
		epoch = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	if days < -1e6 || days > 1e7 {
		return strconv.FormatFloat(x, 'g', -1, 64)
	}
	at := epoch.AddDate(0, 0, int(days)).Add(time.Duration(micros) * time.Microsecond)
	if f == dateOnly && micros == 0 {
		return at.Format("2006-01-02")
	}
	return at.Format("2006-01-02T15:04:05.000000")
}
