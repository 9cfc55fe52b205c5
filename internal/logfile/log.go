// Package logfile reads files of samples, however they come, into one form.
// A reader knows bytes, text, numbers and clocks; it does not know what a
// channel means (package dictionary) nor what a car is.
package logfile

import "traplight/internal/trace"

// Column is one channel as the file has it.
type Column struct {
	Name   string    // as in the file, without the unit
	Unit   string    // as in the file, "" when it states none
	Values []float64 // as printed, in the file's unit; NaN where the cell is blank or not a number
	Text   []string  // cells that were words, only for columns that hold mostly words; else nil
	// Group is 0 for rows that belong to the table's own clock. (Formats that
	// give each channel its own clock use Times.)
	Times []float64 // s, run clock, when the column has its own clock; else nil
}

// Log is one file.
type Log struct {
	File    string            // base name
	SHA256  string            // of the bytes as they came, lower-case hex
	Format  string            // "csv", "parquet", …
	Meta    map[string]string // metadata lines, key → value as in the file
	Start   string            // date and time of the start as far as the file tells, ISO 8601, else ""
	RowTime []float64         // s, run clock, one per row
	Clock   trace.Clock       // run clock to the log's own clock
	Columns []Column          // without the time column
	// Notes say what was assumed and what was dropped, by line, a sentence each.
	Notes []string
}
