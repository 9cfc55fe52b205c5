package nmea_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/logfile/logfiletest"
	"traplight/internal/reftest"
)

func column(log *logfile.Log, name string) []float64 {
	for _, c := range log.Columns {
		if c.Name == name {
			return c.Values
		}
	}
	return nil
}

// fix is one valid fix as an independent parser read it.
type fix struct{ clock, lat, lon, speed float64 } // s, deg, deg, m/s

func expected(t *testing.T, path string) []fix {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Skip(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []fix
	for _, r := range rows[1:] {
		if r[2] != "ok" || r[5] != "A" {
			continue
		}
		num := func(s string) float64 {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			return v
		}
		c := num(r[3])
		h, m := math.Floor(c/1e4), math.Mod(math.Floor(c/100), 100)
		out = append(out, fix{h*3600 + m*60 + math.Mod(c, 100), num(r[6]), num(r[7]), num(r[8])})
	}
	return out
}

func clockAt(log *logfile.Log, row int) float64 {
	return math.Mod(log.Clock.Log(log.RowTime[row]), 86400)
}

// TestReceivers holds ten logs of awkward receivers (ntpsec/gpsd regression
// logs) against what an independent parser made of them: every valid fix in file
// order, its speed to the five decimals given.
func TestReceivers(t *testing.T) {
	dir := reftest.Path(t, "data", "receivers-nmea")
	files, _ := filepath.Glob(filepath.Join(dir, "*.nmea"))
	fixes := 0
	for _, file := range files {
		log, err := logfile.Open(file)
		if err != nil {
			t.Error(err)
			continue
		}
		speed, lat, lon := column(log, "GPS speed"), column(log, "GPS latitude"), column(log, "GPS longitude")
		i, extra := 0, 0
		for _, want := range expected(t, strings.TrimSuffix(file, ".nmea")+".expected.csv") {
			// Instants that only other sentences tell of are not in the list.
			for i < len(speed) && (speed[i] != speed[i] || clockAt(log, i) < want.clock-1e-3) {
				extra++
				i++
			}
			if i == len(speed) {
				t.Errorf("%s: too few fixes", log.File)
				break
			}
			if d := math.Abs(speed[i]*1852/3600 - want.speed); d > 0.5000001e-5 {
				t.Errorf("%s: fix %d at %v kn, want %v m/s", log.File, i, speed[i], want.speed)
			}
			if math.Abs(lat[i]-want.lat) > 0.5000001e-8 || math.Abs(lon[i]-want.lon) > 0.5000001e-8 {
				t.Errorf("%s: fix %d at %.8f %.8f, want %.8f %.8f", log.File, i, lat[i], lon[i], want.lat, want.lon)
			}
			// A repeated second is spread; else the stamp is the instant.
			if got := clockAt(log, i); math.Abs(got-want.clock) > 0.51 {
				t.Errorf("%s: fix %d at %.3f s, want %.3f", log.File, i, got, want.clock)
			}
			fixes++
			i++
		}
		if extra += len(speed) - i; extra > 6 {
			t.Errorf("%s: %d instants too many", log.File, extra)
		}
	}
	t.Logf("%d fixes in %d files", fixes, len(files))
	if len(files) > 0 && fixes < 400 {
		t.Errorf("only %d fixes compared", fixes)
	}
}

// TestTownDrive reads half an hour of driving (google/gps-measurement-tools): the
// counts and gaps are those of its notes.
func TestTownDrive(t *testing.T) {
	path := reftest.Path(t, "data", "car-nmea", "drive-2020-02-06.nmea")
	log, err := logfile.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	speed := column(log, "GPS speed")
	n, top := 0, 0.0
	for _, v := range speed {
		if v == v {
			n++
			top = math.Max(top, v*1.852)
		}
	}
	if n != 1653 || math.Abs(top-62.4) > 0.05 {
		t.Errorf("%d speeds up to %.2f km/h, want 1653 up to 62.4", n, top)
	}
	if all := strings.Join(log.Notes, "\n"); !strings.Contains(all, "and 10 more: wrong checksum") {
		t.Errorf("13 torn sentences are not told: %s", all)
	}
	gaps := 0
	for i := 1; i < len(log.RowTime); i++ {
		if log.RowTime[i]-log.RowTime[i-1] > 2.5 {
			gaps++
		}
	}
	if gaps != 5 || log.Start != "2020-02-07T02:14:17Z" {
		t.Errorf("%d gaps from %s", gaps, log.Start)
	}
}

func checksum(body string) string {
	var sum byte
	for i := range len(body) {
		sum ^= body[i]
	}
	return fmt.Sprintf("$%s*%02X\r\n", body, sum)
}

func small() []byte {
	var b bytes.Buffer
	for i := range 30 {
		fmt.Fprint(&b, checksum(fmt.Sprintf("GNRMC,1021%02d.00,A,4648.80%02d,N,03113.24%02d,W,%d.25,12.5,170531,,,A", i, i, i, i)))
		fmt.Fprint(&b, checksum(fmt.Sprintf("GNGGA,1021%02d.00,4648.80%02d,N,03113.24%02d,W,1,11,0.8,12.5,M,,M,,", i, i, i)))
		fmt.Fprint(&b, checksum(fmt.Sprintf("GNVTG,12.5,T,,M,%d.25,N,,K,A", i)))
	}
	return b.Bytes()
}

func TestColumns(t *testing.T) {
	log, err := logfile.Read("small.nmea", small())
	if err != nil {
		t.Fatal(err)
	}
	if len(log.RowTime) != 30 || log.Start != "2031-05-17T10:21:00Z" || column(log, "GPS altitude")[7] != 12.5 || column(log, "GPS speed")[7] != 7.25 {
		t.Errorf("%d rows from %s: %v", len(log.RowTime), log.Start, log.Columns)
	}
	if got, want := column(log, "GPS latitude")[3], 46+48.8003/60; math.Abs(got-want) > 1e-12 {
		t.Errorf("latitude %v, want %v", got, want)
	}
}

func FuzzRead(f *testing.F) {
	f.Add(small())
	f.Add([]byte("$GPRMC,,V,,,,,,,,,,N*53\r\n$GPGGA,120000,,,,,0,,,M,,M,,*48\r\n"))
	f.Add([]byte(checksum("GPRMC,235960.999,A,9000.0,N,18000.0,E,1e3,400,310299,,")))
	f.Fuzz(func(t *testing.T, data []byte) {
		logfiletest.Read(t, "fuzz.nmea", data)
	})
}
