//go:build unix

package peers

import (
	"bufio"
	"database/sql"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	_ "github.com/duckdb/duckdb-go/v2"

	"traplight/internal/logfile"
	"traplight/internal/store/columns"
)

const (
	channels = 40
	fileSize = 100 << 20 // bytes
	childEnv = "PEERS_READ"
)

// TestMain also is the program whose memory is measured: it reads one file.
func TestMain(m *testing.M) {
	if path := os.Getenv(childEnv); path != "" {
		log, err := logfile.Open(path)
		if err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		values := len(log.RowTime)
		for _, c := range log.Columns {
			values += len(c.Values)
		}
		status, _ := os.ReadFile("/proc/self/status")
		for line := range strings.Lines(string(status)) {
			if f := strings.Fields(line); len(f) > 1 && f[0] == "VmHWM:" {
				fmt.Println(f[1], values)
			}
		}
		os.Exit(0)
	}
	os.Exit(m.Run())
}

// makeCSV writes a file of about size bytes.
func makeCSV(t testing.TB, size int64) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), "log.csv")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	w := bufio.NewWriterSize(f, 1<<20)
	w.WriteString("time [s]")
	level := make([]float64, channels)
	for i := range level {
		fmt.Fprintf(w, ",channel %d [kPa]", i+1)
		level[i] = 100 * float64(i)
	}
	w.WriteString("\n")
	random := rand.New(rand.NewPCG(1, 2))
	line := []byte{}
	for row, written := 0, int64(0); written < size; row++ {
		line = strconv.AppendFloat(line[:0], float64(row)/1000, 'f', 3, 64)
		for i := range level {
			level[i] += random.NormFloat64()
			line = strconv.AppendFloat(append(line, ','), level[i], 'f', 3, 64)
		}
		n, _ := w.Write(append(line, '\n'))
		written += int64(n)
	}
	if err := w.Flush(); err != nil {
		t.Fatal(err)
	}
	return path
}

// engine opens DuckDB in memory, with one thread.
func engine(t testing.TB) *sql.DB {
	t.Helper()
	db, err := sql.Open("duckdb", "")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { db.Close() })
	db.SetMaxOpenConns(1)
	if _, err := db.Exec("SET threads = 1"); err != nil {
		t.Fatal(err)
	}
	return db
}

// oneThread keeps the garbage collector from a second processor too.
func oneThread(b *testing.B) {
	was := runtime.GOMAXPROCS(1)
	b.Cleanup(func() { runtime.GOMAXPROCS(was) })
}

// report gives the processor time beside the clock's, which others on the
// machine make longer.
func report(b *testing.B, since time.Duration) {
	b.SetBytes(fileSize)
	b.ReportMetric((processorTime()-since).Seconds()*1000/float64(b.N), "cpu-ms/op")
}

// processorTime is what this process has used so far.
func processorTime() time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		panic(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func BenchmarkCSV(b *testing.B) {
	path := makeCSV(b, fileSize)
	b.Run("traplight", func(b *testing.B) {
		oneThread(b)
		processor := processorTime()
		for b.Loop() {
			if _, err := logfile.Open(path); err != nil {
				b.Fatal(err)
			}
		}
		report(b, processor)
	})
	// Every column is parsed, nothing is kept.
	b.Run("DuckDB sum", func(b *testing.B) {
		db := engine(b)
		query := "SELECT count(*)"
		for i := range channels {
			query += fmt.Sprintf(", sum(\"channel %d [kPa]\")", i+1)
		}
		processor := processorTime()
		for b.Loop() {
			run(b, db, query+" FROM read_csv(?)", path)
		}
		report(b, processor)
	})
	// Every column is parsed and kept, as the own reader does.
	b.Run("DuckDB table", func(b *testing.B) {
		db := engine(b)
		processor := processorTime()
		for b.Loop() {
			run(b, db, "CREATE OR REPLACE TABLE log AS FROM read_csv(?)", path)
		}
		report(b, processor)
	})
}

// BenchmarkByTurns reads with both in turn, so that whatever else the machine does
// falls on both, and reports how many times as long the engine takes: the ratio of
// the medians of processor time. Run it with -benchtime 7x or more.
func BenchmarkByTurns(b *testing.B) {
	path := makeCSV(b, fileSize)
	oneThread(b)
	db := engine(b)
	query := "SELECT count(*)"
	for i := range channels {
		query += fmt.Sprintf(", sum(\"channel %d [kPa]\")", i+1)
	}
	var own, sum, table []float64
	took := func(list *[]float64, f func()) {
		from := processorTime()
		f()
		*list = append(*list, (processorTime() - from).Seconds())
	}
	for b.Loop() {
		took(&own, func() {
			if _, err := logfile.Open(path); err != nil {
				b.Fatal(err)
			}
		})
		took(&sum, func() { run(b, db, query+" FROM read_csv(?)", path) })
		took(&table, func() { run(b, db, "CREATE OR REPLACE TABLE log AS FROM read_csv(?)", path) })
	}
	median := func(list []float64) float64 {
		slices.Sort(list)
		return list[len(list)/2]
	}
	b.ReportMetric(median(sum)/median(own), "sum/own")
	b.ReportMetric(median(table)/median(own), "table/own")
	b.ReportMetric(1000*median(own), "own-cpu-ms")
}

func run(b *testing.B, db *sql.DB, query, path string) {
	rows, err := db.Query(query, path)
	if err != nil {
		b.Fatal(err)
	}
	for rows.Next() {
	}
	if err := rows.Close(); err != nil {
		b.Fatal(err)
	}
}

// TestSameValues compares every number of a file as both read it.
func TestSameValues(t *testing.T) {
	path := makeCSV(t, 2<<20)
	log, err := logfile.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if len(log.Columns) != channels {
		t.Fatalf("%d columns", len(log.Columns))
	}
	db := engine(t)
	for _, c := range log.Columns {
		same(t, db, "SELECT \""+c.Name+" [kPa]\" FROM read_csv(?)", path, c.Values)
	}
	same(t, db, `SELECT "time [s]" FROM read_csv(?)`, path, log.RowTime)
}

// same holds a query's only column against want, bit for bit.
func same(t *testing.T, db *sql.DB, query, path string, want []float64) {
	t.Helper()
	rows, err := db.Query(query, path)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	i := 0
	for ; rows.Next(); i++ {
		var v sql.NullFloat64
		if err := rows.Scan(&v); err != nil {
			t.Fatal(err)
		}
		if i >= len(want) || v.Valid == math.IsNaN(want[i]) || v.Valid && v.Float64 != want[i] {
			t.Fatalf("%s: row %d: %v", query, i, v)
		}
	}
	if err := rows.Err(); err != nil || i != len(want) || i == 0 {
		t.Errorf("%s: %d rows of %d, %v", query, i, len(want), err)
	}
}

// TestExportIsRead lets the engine read this project's Parquet: decimals, wide
// decimals, doubles, blanks.
func TestExportIsRead(t *testing.T) {
	nan := math.NaN()
	table := columns.Table{Columns: []columns.Column{
		{Name: "decimal", Unit: "kPa"}, {Name: "wide"}, {Name: "double"}, {Name: "blanks"},
	}}
	random := rand.New(rand.NewPCG(3, 4))
	for i := range 20000 {
		table.Time = append(table.Time, float64(i)/500)
		for k, v := range []float64{
			math.Round(random.NormFloat64()*1e4) / 100, math.Round(random.NormFloat64()*1e13) / 1e5, random.NormFloat64(), float64(i) / 8,
		} {
			if k == 3 && i%3 == 0 {
				v = nan
			}
			table.Columns[k].Values = append(table.Columns[k].Values, v)
		}
	}
	path := filepath.Join(t.TempDir(), "x.parquet")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if err := columns.WriteParquet(f, table); err != nil {
		t.Fatal(err)
	}
	f.Close()
	db := engine(t)
	same(t, db, `SELECT "time [s]"::DOUBLE FROM read_parquet(?)`, path, table.Time)
	for i, name := range []string{"decimal [kPa]", "wide", "double", "blanks"} {
		same(t, db, `SELECT "`+name+`"::DOUBLE FROM read_parquet(?)`, path, table.Columns[i].Values)
	}
}

// TestPeakMemory reads the large file in a process of its own: at the peak it
// holds less than three times the columns.
func TestPeakMemory(t *testing.T) {
	if runtime.GOOS != "linux" {
		t.Skip("the peak is read from /proc")
	}
	path := makeCSV(t, fileSize)
	debug.FreeOSMemory()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), childEnv+"="+path)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	var peak, values int
	if _, err := fmt.Sscan(string(out), &peak, &values); err != nil {
		t.Fatalf("%v: %q", err, out)
	}
	ratio := float64(peak) * 1024 / float64(8*values)
	t.Logf("peak %.1f MB for %.1f MB of columns: %.2f times", float64(peak)/1024, float64(8*values)/(1<<20), ratio)
	if ratio > 3 {
		t.Errorf("the peak is %.2f times the columns, more than 3", ratio)
	}
}
