package app

import (
	"reflect"
	"strings"
	"testing"

	"traplight/internal/car"
)

// TestArmedAsOnTheCard: the limits to arm rest on the same passes, the one just judged among
// them, whether the health screen or the card for the next pass prints them.
func TestArmedAsOnTheCard(t *testing.T) {
	names := []string{"a01_marlin.csv", "a02_marlin.csv", "a03_marlin.csv", "a04_marlin.csv"}
	dir := shopFolder(t, names...)
	var logs []string
	for _, n := range names {
		logs = append(logs, dir+"/"+n)
	}
	cars, notes := []string{dir + "/car_marlin.toml"}, dir+"/passes.toml"
	screen, err := Health(t.Context(), HealthRequest{Logs: logs[3:], History: logs[:3], Cars: cars, Notes: notes})
	if err != nil {
		t.Fatal(err)
	}
	all, err := Analyse(t.Context(), ReportRequest{Logs: logs, Cars: cars, Notes: notes})
	if err != nil {
		t.Fatal(err)
	}
	f := &Fitted{Sheet: sheetOf(all)}
	if f.Notes, err = car.LoadNotes(notes); err != nil {
		t.Fatal(err)
	}
	f.protect(all)
	if len(f.Protection) < 5 || !reflect.DeepEqual(screen.Protection, f.Protection) {
		t.Errorf("the screen arms %+v, the card %+v", screen.Protection, f.Protection)
	}
	var b strings.Builder
	screen.protection(&b)
	if want := "from 4 clear passes of this car, this one among them\n"; !strings.Contains(b.String(), want) {
		t.Errorf("no %q in:\n%s", want, b.String())
	}
}
