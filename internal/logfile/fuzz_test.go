package logfile_test

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"testing"

	"traplight/internal/logfile/logfiletest"
)

// short is a sample in a dialect, a dozen rows long.
func short(d logfiletest.Dialect) []byte {
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
	return d.Encode(s)
}

var oddTexts = []string{"", "Time\n", "a;b\n1;2\n", "\xFF\xFEa\x00", "Time,\"a\nb\n1,2\n", "t,x\n1,\"2\n3,4\n", "Time,RPM\n0,1\n0,2\n0,3\n-5,4\n1e300,5\n"}

// FuzzRead feeds any bytes, text above all.
func FuzzRead(f *testing.F) {
	for _, d := range logfiletest.Dialects {
		f.Add(short(d))
	}
	for _, s := range oddTexts {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) { logfiletest.Read(t, "fuzz", data) })
}

// FuzzGzip feeds packed bytes as they are, and text that is packed first, which
// the checksums would else hide from the fuzzer.
func FuzzGzip(f *testing.F) {
	for i, d := range logfiletest.Dialects {
		f.Add(short(d), uint16(i*40))
	}
	f.Fuzz(func(t *testing.T, data []byte, cut uint16) {
		logfiletest.Read(t, "fuzz.csv.gz", append([]byte{0x1f, 0x8b}, data...))
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		if _, err := z.Write(data); err != nil {
			t.Fatal(err)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		logfiletest.Read(t, "fuzz.csv.gz", b.Bytes())
		logfiletest.Read(t, "fuzz.csv.gz", b.Bytes()[:max(2, b.Len()-int(cut)%b.Len())])
	})
}

// FuzzZip feeds an archive's bytes as they are, and an archive of two members
// with any names.
func FuzzZip(f *testing.F) {
	for _, d := range logfiletest.Dialects {
		f.Add("pass.csv", short(d), "notes/read me.txt", []byte("hello"))
	}
	f.Add("a/", []byte("Time,x\n0,1\n"), "../b.csv", short(logfiletest.Dialects[0]))
	f.Fuzz(func(t *testing.T, name string, data []byte, other string, more []byte) {
		logfiletest.Read(t, "fuzz.zip", append([]byte("PK\x03\x04"), data...))
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		for _, m := range []struct {
			name string
			data []byte
		}{{name, data}, {other, more}} {
			w, err := z.Create(m.name)
			if err != nil {
				return
			}
			if _, err := w.Write(m.data); err != nil {
				return // a folder with content
			}
		}
		if err := z.Close(); err != nil {
			return
		}
		logfiletest.Read(t, "fuzz.zip", b.Bytes())
		// Bytes of the archive's own structures changed by the text's.
		raw := b.Bytes()
		for i := range min(len(data), 8) {
			raw[len(raw)-1-(int(data[i])*7+i)%min(len(raw), 120)] ^= data[i]
		}
		logfiletest.Read(t, "fuzz.zip", raw)
	})
}
