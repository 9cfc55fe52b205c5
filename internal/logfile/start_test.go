package logfile

import (
	"strings"
	"testing"

	"traplight/internal/logfile/table"
)

// TestStartOfDay: dates as recorders write them. 11 June and 6 November cannot be told apart
// where only slashes part them; with a clock of half days the month stands first.
func TestStartOfDay(t *testing.T) {
	for said, want := range map[string]string{
		"2033-06-11 15:25:10": "2033-06-11 15:25:10", "2033-06-11T15:25": "2033-06-11 15:25:00", "11.06.2033 15:25": "2033-06-11 15:25:00", "11/06/2033": "2033-06-11 ",
		"06/28/2033 15:25": "2033-06-28 15:25:00", "6/11/2033 3:25:10 PM": "2033-06-11 15:25:10", "6/11/2033 12:05 am": "2033-06-11 00:05:00", "6/11/2033 3:25PM": "2033-06-11 15:25:00",
		"June 11, 2033": "2033-06-11 ", "11 Jun 2033 15:25:10": "2033-06-11 15:25:10", "2033/06/11": "2033-06-11 ", "1.6.2033": "2033-06-01 ",
		"Thursday": "", "15:25": "", "PM": "",
	} {
		date, clock, ok := splitStart(said)
		if got := date + " " + clock; ok != (want != "") || ok && got != want {
			t.Errorf("%q: %q, want %q", said, got, want)
		}
	}
	for said, want := range map[string]string{
		"06/11/2033": "taken for 6 November 2033; where it means 11 June,", "06/28/2033": "", "11/11/2033": "", "6/11/2033 3:25 PM": "", "2033/06/11": "", "06.11.2033": "",
	} {
		date, _, _ := splitStart(said)
		if got := eitherDay(said, date); (got == "") != (want == "") || !strings.Contains(got, want) {
			t.Errorf("%q: %q, want %q", said, got, want)
		}
	}
}

// TestStartInTheHead: a day and a time of day in lines of their own, in several words.
func TestStartInTheHead(t *testing.T) {
	for _, c := range []struct {
		meta map[string]string
		want string
	}{
		{map[string]string{"Day": "2033-06-20", "Start": "12:36"}, "2033-06-20T12:36:00"},
		{map[string]string{"Tag": "20.06.2033", "Zeit": "12:36:10"}, "2033-06-20T12:36:10"},
		{map[string]string{"Day": "6/20/2033", "Time": "2:36 PM"}, "2033-06-20T14:36:00"},
		{map[string]string{"Start": "2033-06-20 12:36"}, "2033-06-20T12:36:00"},
		{map[string]string{"Day": "Saturday", "Start": "12:36"}, ""},
		{map[string]string{"Date": "2033-06-20", "Day": "2", "Start": "beam"}, "2033-06-20"},
		{map[string]string{"Birthday": "2001-01-02"}, ""},
	} {
		if got, _ := start(&clockColumn{}, &table.Table{Meta: c.meta}); got != c.want {
			t.Errorf("%v: %q, want %q", c.meta, got, c.want)
		}
	}
}
