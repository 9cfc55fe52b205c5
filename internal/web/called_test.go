package web

import (
	"slices"
	"testing"

	"traplight/internal/store"
)

// TestCalled: passes are called as people call them, and never two of them alike.
func TestCalled(t *testing.T) {
	pass := func(name, car, at string) store.Pass { return store.Pass{Name: name, Car: car, RunAt: at} }
	one, two := pass("marl-2033-06-11-1", "Marl", "2033-06-11T10:00"), pass("marl-2033-06-11-2", "Marl", "2033-06-11T11:00")
	other, later := pass("otter-2033-06-11-1", "Otter", "2033-06-11T10:30"), pass("marl-2033-06-12-1", "Marl", "2033-06-12T10:00")
	undated := pass("marl-1", "Marl", "")
	for _, c := range []struct {
		of   []store.Pass
		want []string
	}{
		{[]store.Pass{one, two}, []string{"pass\u00a01", "pass\u00a02"}},
		{[]store.Pass{one, other}, []string{"Marl, pass\u00a01", "Otter, pass\u00a01"}},
		{[]store.Pass{one, later}, []string{"pass\u00a01 of 11\u00a0June", "pass\u00a01 of 12\u00a0June"}},
		{[]store.Pass{other, later}, []string{"Otter, pass\u00a01 of 11\u00a0June", "Marl, pass\u00a01 of 12\u00a0June"}},
		{[]store.Pass{one, pass("marl-2034-06-11-1", "Marl", "2034-06-11T10:00")}, []string{"pass\u00a01 of 11\u00a0June\u00a02033", "pass\u00a01 of 11\u00a0June\u00a02034"}},
		{[]store.Pass{undated, one}, []string{undated.Name, "pass\u00a01 of 11\u00a0June"}},
	} {
		if got := calledAll(c.of); !slices.Equal(got, c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}

// TestCalledByFile: what is told by its log is called as elsewhere on the page.
func TestCalledByFile(t *testing.T) {
	two := []store.Pass{{Name: "marl-2033-06-11-1", Car: "Marl", RunAt: "2033-06-11T10:00", File: "a.csv"}, {Name: "marl-2033-06-11-2", Car: "Marl", RunAt: "2033-06-11T11:00", File: "a.csv", Number: 1}}
	for told, want := range map[string]string{"a.csv": "pass\u00a01", "a.csv #2": "pass\u00a02", "a.csv #3": "a.csv #3", "b.csv": "b.csv"} {
		if got := calledByFile(told, two); got != want {
			t.Errorf("%s is called %q, want %q", told, got, want)
		}
	}
}
