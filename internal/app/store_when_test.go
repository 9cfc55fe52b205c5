package app

import (
	"errors"
	"slices"
	"strings"
	"testing"
	"time"

	"traplight/internal/store"
)

func TestTrashByName(t *testing.T) {
	dir, s := shopFolder(t, "a01_marlin.csv"), openShop(t)
	s.add(t, AddRequest{Paths: []string{dir}})
	for _, c := range []struct {
		move TrashMove
		want string
		err  error
	}{
		{ForGood, "", store.ErrNotFound}, {ToTrash, "marlin-2031-05-17-1: in the trash", nil}, {FromTrash, "marlin-2031-05-17-1: back", nil},
		{FromTrash, "", store.ErrNotFound}, {ToTrash, "marlin-2031-05-17-1: in the trash", nil}, {ForGood, "a01_marlin.csv: thrown away", nil},
	} {
		done, err := s.Trash(t.Context(), []string{"a01_marlin.csv"}, c.move)
		if !errors.Is(err, c.err) || strings.Join(done, "|") != c.want {
			t.Errorf("move %v: %q, %v; want %q, %v", c.move, done, err, c.want, c.err)
		}
	}
}

func TestMomentOf(t *testing.T) {
	for _, c := range []struct {
		start string
		t     float64 // s
		want  string
	}{
		{"2031-05-17T10:21:00", 12.5, "2031-05-17T10:21:12"},
		{"2031-05-17T10:21:00", 37290, "2031-05-17T10:21:30"},         // a time of day
		{"2031-05-17 23:59:50", 86405, "2031-05-18T00:00:05"},         // past midnight
		{"2031-05-17T10:21:00.250+02:00", 0.5, "2031-05-17T10:21:00"}, // local, whatever the zone
		{"2031-05-17", 99, "2031-05-17"},
		{"10:21", 12, ""},
		{"", 12, ""},
	} {
		if got := momentOf(c.start, c.t); got != c.want {
			t.Errorf("%q at %v s: %q, want %q", c.start, c.t, got, c.want)
		}
	}
}

func TestDateByOthers(t *testing.T) {
	at := func(x float64) *float64 { return &x }
	rows := []store.PassRow{{Launch: at(10)}, {Launch: at(400), RunAt: "2031-05-17T10:21"}, {}, {Launch: at(1000)}}
	dateByOthers(rows)
	var got []string
	for _, r := range rows {
		got = append(got, r.RunAt)
	}
	if want := []string{"2031-05-17T10:14", "2031-05-17T10:21", "", "2031-05-17T10:31"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

func TestDateByAdding(t *testing.T) {
	at := func(x float64) *float64 { return &x }
	added, evening := time.Date(2031, 5, 17, 0, 20, 0, 5e6, time.Local), time.Date(2031, 5, 17, 18, 0, 0, 0, time.Local)
	for _, c := range []struct {
		what string
		rows []store.PassRow
		want []string
	}{
		{"from the start of the recording", []store.PassRow{{Launch: at(12)}, {Launch: at(132)}}, []string{"2031-05-17T00:20:00.005", "2031-05-17T00:22:00.005"}},
		{"a clock of the day that shows what is to come", []store.PassRow{{Launch: at(23.5 * 3600)}}, []string{"2031-05-17T00:20:00.005"}},
		{"a clock of the day", []store.PassRow{{Launch: at(14.5 * 3600)}}, []string{"2031-05-17T14:30:00.000"}},
		{"no launch", []store.PassRow{{}}, []string{"2031-05-17T00:20:00.005"}},
		{"known", []store.PassRow{{Launch: at(1), RunAt: "2030-01-01"}}, []string{"2030-01-01"}},
	} {
		moment := added
		if c.what == "a clock of the day" {
			moment = evening
		}
		dateByAdding(c.rows, moment)
		for i := range c.rows {
			if got := c.rows[i].RunAt; got != c.want[i] {
				t.Errorf("%s, pass %d: %q, want %q", c.what, i, got, c.want[i])
			}
		}
	}
}
