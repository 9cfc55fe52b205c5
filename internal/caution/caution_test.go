package caution

import (
	"strings"
	"testing"

	"traplight/internal/car"
)

// TestBefore: each caution stands when what it is about may be done, and not otherwise.
func TestBefore(t *testing.T) {
	clear := Act{Sheet: &car.Sheet{Fuel: "gasoline"}, Top: 70, Stop: 500, ShutDown: 1700, Verdict: "clear"}
	change := func(f func(*Act)) Act { a := clear; f(&a); return a }
	for _, c := range []struct {
		name, says string
		a          Act
	}{
		{"tyres", "speed symbol", change(func(a *Act) { a.Top = 84 })},
		{"tyres by the aim", "speed symbol", change(func(a *Act) { a.Top, a.Sheet = 0, &car.Sheet{Target: 90} })},
		{"no shut-down", "was not given", change(func(a *Act) { a.ShutDown = 0 })},
		{"short", "nearly used up", change(func(a *Act) { a.Stop = 1600 })},
		{"nitrous", "under pressure", change(func(a *Act) { a.Nitrous = true })},
		{"alcohol", "daylight hides", change(func(a *Act) { a.Sheet = &car.Sheet{Fuel: "E85"} })},
		{"methanol", "daylight hides", change(func(a *Act) { a.Sheet = &car.Sheet{Fuel: "M100"} })},
		{"new", "one step at a time", change(func(a *Act) { a.New = true })},
		{"bold", "go there in steps", change(func(a *Act) { a.New, a.Beyond = true, true })},
		{"sick", "judged 'inspect'", change(func(a *Act) { a.Verdict = "inspect" })},
		{"inspected", "judged 'stand down'; inspected since: a clamp. Only if that was the cause the car goes out", change(func(a *Act) { a.Verdict, a.Found = "stand down", "a clamp." })},
		{"not judged", "could not be judged", change(func(a *Act) { a.Verdict = "" })},
		{"not seen", "read the health", change(func(a *Act) { a.Unseen = true })},
	} {
		if said := strings.Join(c.a.Before(), "\n"); !strings.Contains(said, c.says) {
			t.Errorf("%s: %q is not said in\n%s", c.name, c.says, said)
		}
		if said := strings.Join(clear.Before(), "\n"); strings.Contains(said, c.says) {
			t.Errorf("%s: %q is said without cause", c.name, c.says)
		}
	}
	for _, always := range []string{"rated stands", "rolling road", "by hand", "gusts", "earth and bond", "technical inspection", "may refuse"} {
		if said := strings.Join(clear.Before(), "\n"); !strings.Contains(said, always) {
			t.Errorf("%q is not said", always)
		}
	}
}
