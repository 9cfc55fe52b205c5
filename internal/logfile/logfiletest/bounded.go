package logfiletest

import (
	"runtime/metrics"
	"testing"
	"time"

	"traplight/internal/logfile"
)

const (
	// What reading may allocate in all: so many bytes, and so many for each byte
	// of the file. Packed text may swell to 64 MB (package logfile), its columns
	// to several times that.
	mostBytes, mostBytesEach = 1 << 30, 4096
	// longest is the time, s, after which reading counts as hung; files of fuzz
	// targets are small.
	longest = 30
)

// Bounded calls f for a file of so many bytes and fails when it takes far more
// memory or time than the file can be worth.
func Bounded(t testing.TB, bytes int, f func()) {
	t.Helper()
	before, from := allocated(), time.Now()
	f()
	if n, most := allocated()-before, uint64(mostBytes+mostBytesEach*bytes); n > most {
		t.Fatalf("%d MB allocated for %d bytes", n>>20, bytes)
	}
	if d := time.Since(from); d > longest*time.Second {
		t.Fatalf("%.1f s for %d bytes", d.Seconds(), bytes)
	}
}

// allocated is how many bytes the program has allocated so far.
func allocated() uint64 {
	s := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(s)
	return s[0].Value.Uint64()
}

// Read reads a file under the bounds of Bounded and holds the outcome against
// what every log promises (Check).
func Read(t *testing.T, name string, data []byte) {
	t.Helper()
	Bounded(t, len(data), func() {
		log, err := logfile.Read(name, data)
		Check(t, data, log, err)
	})
}
