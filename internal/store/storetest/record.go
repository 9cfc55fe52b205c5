package storetest

import (
	"bytes"
	"errors"
	"slices"
	"strings"
	"testing"

	"traplight/internal/store"
)

func sheets(t *testing.T, s *store.Store) {
	first := []byte("name = \"Quail\"\nmass = 1\n")
	second := []byte("name = \"Quail\"\nmass = 2\n")
	put := func(body []byte, valid string) (store.Sheet, bool) {
		t.Helper()
		h, isNew, err := s.AddSheet(t.Context(), store.Sheet{Car: "Quail", File: "quail.toml", Body: body, Valid: valid})
		if err != nil {
			t.Fatal(err)
		}
		return h, isNew
	}
	if h, isNew := put(first, ""); !isNew || h.Revision != 1 || h.Valid != "" {
		t.Errorf("first: %+v", h)
	}
	h, isNew := put(second, "")
	if !isNew || h.Revision != 2 || h.Valid == "" {
		t.Errorf("second holds from now: %+v", h)
	}
	for _, body := range [][]byte{first, second, first, second} {
		if _, isNew := put(body, ""); isNew {
			t.Error("a known sheet made a new revision")
		}
	}
	if h, isNew := put(second, store.Always); !isNew || h.Valid != "" || h.Revision != 3 {
		t.Errorf("corrected for always: %+v", h)
	}
	list, err := s.Sheets(t.Context(), "QUAIL")
	if err != nil || len(list) != 3 || !bytes.Equal(list[1].Body, second) {
		t.Errorf("sheets: %d, %v", len(list), err)
	}
	cars, err := s.Cars(t.Context())
	if err != nil || !slices.ContainsFunc(cars, func(c store.Car) bool { return c.Name == "Quail" && c.Revisions == 3 }) {
		t.Errorf("cars %+v, %v", cars, err)
	}
}

func notes(t *testing.T, s *store.Store) {
	base, err := s.Entries(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	pass := store.Entry{Kind: store.PassEntry, Key: "f01", Body: "id = \"f01\"\nslip_trap_mph = 181.2\n"}
	strip := store.Entry{Kind: store.StripEntry, Key: "finch field", Body: "id = \"finch field\"\n"}
	old := []byte("the old file")
	put := func(data []byte, once bool, entries ...store.Entry) int {
		t.Helper()
		changed, err := s.AddNotes(t.Context(), "notes.toml", data, entries, once)
		if err != nil {
			t.Fatal(err)
		}
		return len(changed)
	}
	if n := put(old, true, pass, strip); n != 2 {
		t.Errorf("new: %d", n)
	}
	if n := put(old, true, pass, strip); n != 0 {
		t.Errorf("again: %d", n)
	}
	mended := pass
	mended.Body = strings.Replace(pass.Body, "181", "182", 1)
	if n := put([]byte("the new file"), true, mended, strip); n != 1 {
		t.Errorf("one mended: %d", n)
	}
	if n := put(old, true, pass, strip); n != 0 {
		t.Errorf("the old file in a watched folder: %d", n)
	}
	body := func() string {
		text, err := s.Notes(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if text := body(); !strings.Contains(text, "182.2") || strings.Contains(text, "181.2") {
		t.Errorf("notes: %s", text)
	}
	if n := put(old, false, pass, strip); n != 1 || !strings.Contains(body(), "181.2") {
		t.Errorf("the old file named by hand: %d, %s", n, body())
	}
	all, err := s.Entries(t.Context(), "")
	if err != nil || len(all) != len(base)+2 {
		t.Errorf("entries: %d, were %d, %v", len(all), len(base), err)
	}
}

func records(t *testing.T, s *store.Store) {
	a := add(t, s, "one.csv", ToyLog("Finch", 10, "2031-05-17T10:21 12.5 81.2"))
	f, err := s.RecordForecast(t.Context(), "Finch", "f02", "inputs", []byte(`{"trap":{"mean_mps":81}}`))
	if err != nil {
		t.Fatal(err)
	}
	g, err := s.RecordForecast(t.Context(), "Finch", "f02", "inputs", []byte(`{"trap":{"mean_mps":82}}`))
	if err != nil || g.Chain == f.Chain || g.RecordedAt < f.RecordedAt {
		t.Errorf("second forecast %+v, %v", g, err)
	}
	list, err := s.Forecasts(t.Context(), "f02")
	if err != nil || len(list) != 2 || string(list[0].Body) != `{"trap":{"mean_mps":81}}` || list[0].Chain != f.Chain {
		t.Errorf("forecasts %+v, %v", list, err)
	}
	for _, body := range []string{`{"error":1}`, `{"error":2}`} {
		if err := s.RecordScore(t.Context(), store.Score{ForecastID: f.ID, Pass: a.Passes[0], Kind: "as run", Body: []byte(body)}); err != nil {
			t.Fatal(err)
		}
	}
	scores, err := s.Scores(t.Context())
	if n := len(scores); err != nil || n == 0 || string(scores[n-1].Body) != `{"error":2}` {
		t.Errorf("scores %+v, %v", scores, err)
	}
	if err := s.RecordInspection(t.Context(), a.Passes[0], "filter cut open: clean", "crew"); err != nil {
		t.Error(err)
	}
	if err := s.RecordInspection(t.Context(), a.Passes[0], "", "crew"); err == nil {
		t.Error("an empty inspection was taken")
	}
	if err := s.RecordInspection(t.Context(), "no such pass", "x", ""); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("inspection of no pass: %v", err)
	}
}

func corrections(t *testing.T, s *store.Store) {
	for _, c := range [][3]string{{"Finch", "P1", "fuel_pressure kPa"}, {"Finch", "P2", "oil_pressure bar"}, {"Finch", "P1", "boost_target kPa"}, {"Finch", "P2", ""}} {
		if err := s.Correct(t.Context(), c[0], c[1], c[2]); err != nil {
			t.Fatal(err)
		}
	}
	got, err := s.Corrections(t.Context(), "finch")
	if err != nil || len(got) != 1 || got["P1"] != "boost_target kPa" {
		t.Errorf("corrections %v, %v", got, err)
	}
	if _, _, ok, err := s.Learnt(t.Context(), "finch", "tyre radius"); ok || err != nil {
		t.Errorf("learnt before: %v %v", ok, err)
	}
	for _, body := range []string{"1", "2"} {
		if err := s.Learn(t.Context(), "Finch", "tyre radius", "from "+body, []byte(body)); err != nil {
			t.Fatal(err)
		}
	}
	body, inputs, ok, err := s.Learnt(t.Context(), "finch", "tyre radius")
	if !ok || err != nil || string(body) != "2" || inputs != "from 2" {
		t.Errorf("learnt %q %q %v %v", body, inputs, ok, err)
	}
}
