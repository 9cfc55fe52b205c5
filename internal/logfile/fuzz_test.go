package logfile_test

import (
	"errors"
	"math"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
)

// check holds whatever a reader made of some bytes against what every log
// promises, or wants a typed error.
func check(t *testing.T, data []byte, log *logfile.Log, err error) {
	t.Helper()
	if err != nil {
		var typed *logfile.Error
		if !errors.As(err, &typed) || typed.Err == nil || err.Error() == "" {
			t.Fatalf("an error without a reason: %v", err)
		}
		return
	}
	for i, x := range log.RowTime {
		if math.IsNaN(x) || math.IsInf(x, 0) || i > 0 && x <= log.RowTime[i-1] {
			t.Fatalf("row %d at %v", i, x)
		}
	}
	cells := 0
	for _, c := range log.Columns {
		want := len(log.RowTime)
		if c.Times != nil {
			want = len(c.Times)
		}
		if c.Text == nil && len(c.Values) != want || c.Text != nil && len(c.Text) != want {
			t.Fatalf("column %q has %d values and %d words for %d rows", c.Name, len(c.Values), len(c.Text), want)
		}
		cells += len(c.Values) + 2*len(c.Text)
	}
	if limit := 64*len(data) + 64<<20; 8*cells > limit {
		t.Fatalf("%d cells from %d bytes", cells, len(data))
	}
	if log.SHA256 == "" || log.Format == "" {
		t.Fatal("no hash or format")
	}
}

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
		check(t, data, log, err)
	})
}
