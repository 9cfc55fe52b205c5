package forecast

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"time"
)

// Record is a forecast as it was written down before the pass, or a score as it was
// written down after it. Records stand one a line in a file that only grows; each
// carries the hash of the one before, so that what was said cannot be changed later
// without being seen.
type Record struct {
	At       string    `json:"at"` // time of writing, RFC 3339
	Car      string    `json:"car"`
	Next     string    `json:"next"` // id of the planned pass
	History  []string  `json:"history,omitempty"`
	Forecast *Answer   `json:"forecast,omitempty"`
	Draws    []float64 `json:"quantiles_mps,omitempty"` // m/s, quantiles of the trap speed at 1/40, 3/40, … 39/40
	Scored   *Scored   `json:"scored,omitempty"`
	Before   string    `json:"before"` // SHA-256 of the record before; "" for the first
	Hash     string    `json:"sha256"` // of this record without this key
}

// ErrChanged says that a file of records is not as it was written.
var ErrChanged = errors.New("the file of forecasts was changed after it was written")

// quantiles gives 20 quantiles at the middles of equal shares.
func (r *Result) quantiles() []float64 {
	s := sortedReal(r.Traps)
	out := make([]float64, 20)
	for i := range out {
		u := (float64(i) + 0.5) / 20 * float64(len(s)-1)
		j := int(u)
		out[i] = tidy(s[j]+(u-float64(j))*(s[min(j+1, len(s)-1)]-s[j]), 4)
	}
	return out
}

func (r Record) digest() (string, error) {
	r.Hash = ""
	b, err := json.Marshal(r)
	if err != nil {
		return "", err
	}
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:]), nil
}

// ReadRecords reads and checks a file of records. An absent file holds none. A record that is not
// as its hash says is an error that names its line.
func ReadRecords(path string) ([]Record, error) {
	data, err := os.ReadFile(path)
	if errors.Is(err, os.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []Record
	before := ""
	s := bufio.NewScanner(bytes.NewReader(data))
	s.Buffer(nil, 16<<20)
	for line := 1; s.Scan(); line++ {
		if len(bytes.TrimSpace(s.Bytes())) == 0 {
			continue
		}
		var r Record
		if err := json.Unmarshal(s.Bytes(), &r); err != nil {
			return out, fmt.Errorf("%s:%d: %w", path, line, err)
		}
		h, err := r.digest()
		if err != nil {
			return out, err
		}
		if h != r.Hash || r.Before != before {
			return out, fmt.Errorf("%s:%d: %w", path, line, ErrChanged)
		}
		before = r.Hash
		out = append(out, r)
	}
	if err := s.Err(); err != nil {
		return out, fmt.Errorf("%s: %w", path, err)
	}
	return out, nil
}

// Append writes the forecast at the end of a file of records, which is checked
// first, and puts time and hash into a.
func Append(path, car string, history []string, r *Result, a *Answer, now time.Time) error {
	copied := *a
	copied.Recorded, copied.Hash = "", ""
	rec, err := add(path, Record{Car: car, Next: r.Next.ID, History: history, Draws: r.quantiles(), Forecast: &copied}, now)
	if err != nil {
		return fmt.Errorf("record the forecast in %s: %w", path, err)
	}
	a.Recorded, a.Hash = rec.At, rec.Hash
	return nil
}

// AppendScore writes the score of the forecast of s.Forecast at the end of a file of
// records.
func AppendScore(path, car string, s *Scored, now time.Time) error {
	if _, err := add(path, Record{Car: car, Next: s.Next, Scored: s}, now); err != nil {
		return fmt.Errorf("record the score in %s: %w", path, err)
	}
	return nil
}

func add(path string, rec Record, now time.Time) (Record, error) {
	old, err := ReadRecords(path)
	if err != nil {
		return rec, err
	}
	rec.At = now.UTC().Format(time.RFC3339)
	if n := len(old); n > 0 {
		rec.Before = old[n-1].Hash
	}
	if rec.Hash, err = rec.digest(); err != nil {
		return rec, err
	}
	line, err := json.Marshal(rec)
	if err != nil {
		return rec, err
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	if err != nil {
		return rec, err
	}
	return rec, write(f, append(line, '\n'))
}

func write(f *os.File, b []byte) error {
	n, err := f.Write(b)
	if err == nil && n < len(b) {
		err = io.ErrShortWrite
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	return err
}
