package storetest

import (
	"testing"

	"traplight/internal/store"
)

// Run holds stores to the promises of package store. open gives a store that
// knows no car called "Finch" or "Quail"; each part of the suite gets its own.
func Run(t *testing.T, open func(t *testing.T) *store.Store) {
	for _, part := range []struct {
		name string
		run  func(*testing.T, *store.Store)
	}{
		{"bytes come back", bytesComeBack},
		{"adding twice", addingTwice},
		{"lost original heals", lostOriginalHeals},
		{"a log that grew", grownLog},
		{"passes keep their names", keptNames},
		{"choosing and finding", choosing},
		{"trash", trash},
		{"sheets", sheets},
		{"notes", notes},
		{"records", records},
		{"corrections", corrections},
		{"batch", batch},
		{"backup", backup},
		{"nonsense is refused", nonsense},
	} {
		t.Run(part.name, func(t *testing.T) {
			s := open(t)
			defer s.Close()
			AddCar(t, s, "Finch")
			part.run(t, s)
			Sound(t, s)
		})
	}
}

func add(t *testing.T, s *store.Store, name, text string) store.Addition {
	t.Helper()
	a, err := s.Add(t.Context(), Write(t, name, text), Toy)
	if err != nil {
		t.Fatal(err)
	}
	return a
}
