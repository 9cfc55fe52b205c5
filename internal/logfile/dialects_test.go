package logfile_test

import (
	"testing"

	"traplight/internal/logfile/logfiletest"
)

// TestDialects passes the suite through every way of writing text tables.
func TestDialects(t *testing.T) {
	for _, d := range logfiletest.Dialects {
		t.Run(d.Name, func(t *testing.T) {
			f := logfiletest.Format{
				NoUnits:  d.Units == "absent" || d.Units == "ending" || d.Sep == " ",
				NoBlanks: d.Fill == "hold",
				NoWords:  d.Sep == " ",

				Underscores:  d.Sep == " " || d.Units == "ending",
				UnitsInCells: d.Units == "cells",
			}
			if d.Clock == "spreadsheet" {
				f.TimeStep = 1e-5
			}
			logfiletest.Run(t, "sample.csv", f, func(s logfiletest.Sample) []byte {
				if d.Cut {
					// The cut line is not part of the sample.
					s.Time = append(s.Time, s.Time[len(s.Time)-1]+0.01)
					for i := range s.Columns {
						c := &s.Columns[i]
						if c.Text != nil {
							c.Text = append(c.Text, "cut")
						} else {
							c.Values = append(c.Values, 1)
						}
					}
				}
				if d.Sep == " " {
					s.Columns = append([]logfiletest.Column(nil), s.Columns...)
					for i := range s.Columns {
						if s.Columns[i].Text != nil {
							s.Columns = s.Columns[:i]
							break
						}
					}
				}
				return d.Encode(s)
			})
		})
	}
}
