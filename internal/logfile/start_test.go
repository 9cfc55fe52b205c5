package logfile

import (
	"strings"
	"testing"
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
