package logfile_test

import (
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
)

// FuzzRead feeds any bytes to whatever reader takes them.
func FuzzRead(f *testing.F) {
	for _, d := range logfiletest.Dialects {
		s := logfiletest.Samples()[3]
		s.Time = s.Time[:12]
		for i := range s.Columns {
			c := &s.Columns[i]
			if c.Text != nil {
				c.Text = c.Text[:12]
			} else {
				c.Values = c.Values[:12]
			}
		}
		f.Add(d.Encode(s))
	}
	for _, s := range []string{"", "Time\n", "a;b\n1;2\n", "\xFF\xFEa\x00", "Time,\"a\nb\n1,2\n", "t,x\n1,\"2\n3,4\n", "Time,RPM\n0,1\n0,2\n0,3\n-5,4\n1e300,5\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		log, err := logfile.Read("fuzz", data)
		logfiletest.Check(t, data, log, err)
	})
}
