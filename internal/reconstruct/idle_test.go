package reconstruct

import (
	"fmt"
	"strings"
	"testing"

	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/logfile"
)

// A log of a car that only idles says so, and that its columns are named as they should be,
// instead of asking for a channel that tells motion.
func TestIdlingCar(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time [s],Engine speed [rpm],Throttle position [%],Wheel speed front left [km/h],Wheel speed front right [km/h]\n")
	for i := range 3000 {
		fmt.Fprintf(&b, "%.2f,%d,%d,0.0,0.0\n", float64(i)/100, 950+i%7*9, i%3)
	}
	log, err := logfile.Read("idle.csv", []byte(b.String()))
	if err != nil {
		t.Fatal(err)
	}
	set, err := dictionary.Identify(log, dictionary.Options{})
	if err != nil {
		t.Fatal(err)
	}
	named := 0
	for _, c := range set.Channels {
		if c.Quantity == "" && c.ByName != "" && strings.Contains(strings.Join(c.Problems, ";"), "by its name "+string(c.ByName)) {
			named++
		}
	}
	if named < 3 {
		t.Errorf("%d channels are told by their names", named)
	}
	sheet, err := car.ParseSheet("plover.toml", []byte("name = \"Plover\"\n[body]\nmass_kg = 1500\n[driveline]\ndriven = \"rear\"\n"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := Passes(set, sheet, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Passes) != 0 || !strings.Contains(strings.Join(r.Notes, " "), NoPass+": its speed channels never move") {
		t.Errorf("%d passes; %q", len(r.Passes), r.Notes)
	}
}
