package web_test

import (
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"traplight/internal/web"
)

// TestSizePage: before the season a car is sized from its sheet, with its passes, and against
// a digitised map; a map that cannot be read is not kept.
func TestSizePage(t *testing.T) {
	t.Parallel()
	sized := func(s *server, query string) string {
		t.Helper()
		w := ask(s, "GET", "/api/v1/cars/Marl/size"+query, nil)
		if w.Code == http.StatusAccepted {
			var started web.Started
			if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil {
				t.Fatal(err)
			}
			if j := waitFor(t, s, started.Job); j.Error != "" {
				t.Fatal(j.Error)
			}
		} else if w.Code != http.StatusOK {
			t.Fatalf("%s: %d %s", query, w.Code, w.Body)
		}
		return ask(s, "GET", "/cars/Marl/size"+query, nil).Body.String()
	}
	has := func(text string, words ...string) {
		t.Helper()
		text = strings.ReplaceAll(text, "\u00a0", " ") // between a number and its unit
		for _, want := range words {
			if !regexp.MustCompile(want).MatchString(text) {
				t.Errorf("%q is not on the page", want)
			}
		}
	}
	s := stocked(t)
	has(ask(s, "GET", "/cars/Marl/size", nil).Body.String(), `data-wait="\w+"`)
	has(sized(s, "?target=192"), `hp \(\d+ to \d+\) at the crank for 192 mph through the trap; your best pass ran`, "What to do", "the last 2 passes", "Power is there", "no map was given", "the driver may refuse any pass")
	has(sized(s, "?target=310&units=metric"), `for 310 km/h`, `name="target"[^>]*value="310"`)

	chart, err := os.ReadFile(filepath.FromSlash("../sizing/testdata/map.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if code, text := post(s, "/cars/Marl/size", url.Values{"map": {"speed,flow [kg/s],ratio\n1,1,1\n"}}); code != 422 || !strings.Contains(text, "needs a unit in brackets") {
		t.Errorf("a map without a unit: %d", code)
	}
	if code, _ := post(s, "/cars/Marl/size", url.Values{"map": {string(chart)}}); code != http.StatusSeeOther {
		t.Fatalf("a map: %d", code)
	}
	has(sized(s, ""), "Compressor: ", "56 points on 7 speed lines", "# an invented compressor")

	// A car that has not run yet, and one whose aim nobody stated.
	dir, _ := demoShop(t)
	sheet, err := os.ReadFile(filepath.Join(dir, "car_marl.toml"))
	if err != nil {
		t.Fatal(err)
	}
	fresh := serve(t, t.TempDir())
	keep := func(text string) {
		t.Helper()
		if code, body := post(fresh, "/cars", url.Values{"file": {"car_marl.toml"}, "text": {text}}); code != http.StatusSeeOther {
			t.Fatalf("the sheet: %d %.300s", code, body)
		}
	}
	keep(string(sheet))
	has(sized(fresh, ""), `is more than the tyres and gears can bring`, "From the sheet alone")
	aimless := regexp.MustCompile(`(?m)^trap_\w+ = .*$`).ReplaceAllString(string(sheet), "")
	if code, body := post(fresh, "/cars", url.Values{"car": {"Marl"}, "file": {"car_marl.toml"}, "text": {aimless}, "past": {"1"}}); code != http.StatusSeeOther {
		t.Fatalf("the sheet anew: %d %.300s", code, body)
	}
	has(ask(fresh, "GET", "/cars/Marl/size", nil).Body.String(), "Which speed is it to reach")
	if w := ask(fresh, "GET", "/api/v1/cars/Marl/size", nil); w.Code != 422 {
		t.Errorf("no target: %d", w.Code)
	}
}
