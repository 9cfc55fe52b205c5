package report

import (
	"math"
	"strconv"

	"traplight/internal/quantity"
	"traplight/internal/trace"
)

// digits is how many significant digits a number keeps in the JSON: far more
// than any sensor carries, few enough to read.
const digits = 8

// number rounds for the JSON; nil for what is not a finite number.
func number(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return nil
	}
	if r == 0 {
		r = 0 // no negative zero
	}
	return &r
}

func numberOf(v *float64) *float64 {
	if v == nil {
		return nil
	}
	return number(*v)
}

// pair gives value and standard deviation of an estimate; a negative or
// non-finite deviation is absent.
func pair(e *quantity.Estimate) (value, sd *float64) {
	if e == nil {
		return nil, nil
	}
	value = number(e.Value)
	if value != nil && e.SD >= 0 {
		sd = number(e.SD)
	}
	return value, sd
}

// instant converts a time on the run clock, s, to the log's own clock, s,
// rounded to a microsecond.
func instant(c trace.Clock, run float64) *float64 {
	v := c.Log(run)
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	r := math.Round(v*1e6) / 1e6
	if r == 0 {
		r = 0
	}
	return &r
}

// instantPair is instant for an estimate of time.
func instantPair(c trace.Clock, e *quantity.Estimate) (value, sd *float64) {
	if e == nil {
		return nil, nil
	}
	value = instant(c, e.Value)
	if value != nil && e.SD >= 0 {
		sd = number(e.SD)
	}
	return value, sd
}

func words(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// list never gives nil, so that the JSON has [] and not null.
func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}
