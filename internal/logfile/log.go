// Package logfile reads files of samples, however they come, into one form.
// A reader knows bytes, text, numbers and clocks; it does not know what a
// channel means (package dictionary) nor what a car is.
//
// The readers of the single formats are in the subrooms; they hand over a table,
// and this package finds the clock in it and repairs it (clock.go). How times are
// understood is in docs/log-files.md.
package logfile

import "traplight/internal/trace"

// Column is one channel as the file has it.
type Column struct {
	Name   string    // as in the file, without the unit
	Unit   string    // as in the file, "" when it states none
	Values []float64 // as printed, in the file's unit; NaN where the cell is blank or not a number
	Text   []string  // cells that were words, only for columns that hold mostly words; else nil
	// Times is nil for columns that share the rows' clock. Formats that give
	// each channel its own clock fill it, one time for each of Values.
	Times []float64 // s, run clock, when the column has its own clock; else nil
}

// Log is one file.
type Log struct {
	File    string            // base name
	SHA256  string            // of the bytes as they came, lower-case hex
	Format  string            // "csv", "parquet", …
	Meta    map[string]string // metadata lines, key → value as in the file
	Start   string            // date and time of the start as far as the file tells, ISO 8601, else ""
	RowTime []float64         // s, run clock, one per row; begins at about 0
	Clock   trace.Clock       // run clock to the log's own clock
	Columns []Column          // without the time column
	// RowStep is the usual time between rows, s, run clock; 0 when rows are not
	// evenly spaced.
	RowStep float64
	// StampStep is the step in which the file prints its times, s; 0 unknown.
	StampStep float64
	// Parts are the indexes of the rows at which a recording begins; the first
	// is 0. A file may hold several recordings.
	Parts []int
	// Breaks are the indexes of the rows behind a gap or a step of the clock,
	// the beginnings of recordings among them.
	Breaks []int
	// Notes say what was assumed and what was dropped, by line, a sentence each.
	Notes []string
}
