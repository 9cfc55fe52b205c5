package csv

import (
	"traplight/internal/logfile/table"
)

// SplitUnits separates names from the units that stand in them, in whatever style
// most of the names use: "Oil pressure [kPa]", "oil_press_kpa".
func SplitUnits(cells []string) (names, units []string) { return splitUnits(cells) }

// FromText understands the cells of one column that another format holds as
// text: numbers, times, dates, units in the cells, words.
func FromText(cells []string) table.Column {
	rows := make([][][]byte, 0, min(len(cells), sniffLines))
	commas, points := 0, 0
	for _, c := range cells {
		if len(rows) == cap(rows) {
			break
		}
		b := []byte(c)
		rows = append(rows, [][]byte{b})
		switch decimalMark(trimCell(b)) {
		case ',':
			commas++
		case '.':
			points++
		}
	}
	r := &reader{book: &table.Book{}, room: len(cells), cols: make([]column, 1), place: []int{0}}
	r.d = dialect{mark: '.'}
	if commas > points {
		r.d.mark = ','
	}
	r.d.order = dateOrder(rows)
	v := make([]float64, len(cells))
	for i, c := range cells {
		r.row = i
		v[i] = r.slowCell([]byte(c), 0)
	}
	r.row, r.vals = len(cells), [][]float64{v}
	if r.row == 0 {
		return table.Column{}
	}
	r.cols[0].name = "x"
	t, err := r.finish()
	if err != nil || len(t.Columns) == 0 {
		return table.Column{Values: v}
	}
	t.Columns[0].Name = ""
	return t.Columns[0]
}

// Number parses a plain decimal number as the reader does; ok is false for
// anything else. The result is the number as printed.
func Number(b []byte) (v float64, ok bool) { return number(b, '.') }

// Days counts the days from 1970-01-01 to a date of the Gregorian calendar.
func Days(year, month, day int) int64 { return daysFromCivil(year, month, day) }
