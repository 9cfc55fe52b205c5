package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"traplight/internal/app"
	"traplight/internal/card"
	"traplight/internal/web"
)

// chosenPlan has the page look for the best settings and gives the address of the answer.
func chosenPlan(t *testing.T, s http.Handler, set url.Values) string {
	t.Helper()
	set.Set("do", "plan")
	body, kind := form(set)
	w := ask(s, "POST", "/api/v1/cars/Marl/next", body, kind)
	var started web.Started
	if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil || started.Job == "" {
		t.Fatal(err, w.Body)
	}
	j := waitFor(t, s, started.Job)
	if j.Error != "" {
		t.Fatal(j.Error)
	}
	at, err := url.Parse(j.Goto)
	if err != nil {
		t.Fatal(err)
	}
	return at.Query().Get("id")
}

func cardOf(t *testing.T, s http.Handler, id string) *card.Card {
	t.Helper()
	w := ask(s, "GET", "/api/v1/cars/Marl/card/"+url.PathEscape(id), nil)
	c := &card.Card{}
	if err := json.Unmarshal(w.Body.Bytes(), c); err != nil || w.Code != 200 {
		t.Fatal(w.Code, w.Body)
	}
	return c
}

// TestCard: the card of a plan that was accepted holds what the command's does, and that of
// settings chosen by hand is made the same way; as page, PDF and JSON.
func TestCard(t *testing.T) {
	if testing.Short() {
		t.Skip("a plan takes seconds")
	}
	dir, logs := demoShop(t)
	sheet, notes := filepath.Join(dir, "car_marl.toml"), filepath.Join(dir, "passes.toml")
	t.Parallel()
	s := serve(t, storeOf(t, 3), lightly)
	id := chosenPlan(t, s, url.Values{"air": {"70"}, "barometer": {"1001"}})
	if w := ask(s, "GET", "/cars/Marl/card/"+url.PathEscape(id), nil); w.Code != http.StatusConflict || !strings.Contains(w.Body.String(), "write it down first") {
		t.Errorf("a card before it was accepted: %d", w.Code)
	}
	if code, text := post(s, "/cars/Marl/next", url.Values{"do": {"accept"}, "id": {id}}); code != http.StatusSeeOther {
		t.Fatal(code, text)
	}
	got := cardOf(t, s, id)

	// The command's plan, of the same entry in the notes.
	text, err := os.ReadFile(notes)
	if err != nil {
		t.Fatal(err)
	}
	last, err := s.shop.FindOne(context.Background(), "last")
	if err != nil {
		t.Fatal(err)
	}
	again := filepath.Join(t.TempDir(), "passes.toml")
	entry := "\n[[planned]]\nid = \"command\"\nafter = \"" + last.File + "\"\nafter_index = 0\nevent = \"" + last.Event + "\"\nnitrous = false\nair_temp_c = 21.11\nstation_pressure_hpa = 1001\n"
	if err := os.WriteFile(again, append(text, entry...), 0o600); err != nil {
		t.Fatal(err)
	}
	var o web.Options
	lightly(&o)
	p, err := app.Plan(context.Background(), app.PlanRequest{Search: o.Effort.Search,
		ForecastRequest: app.ForecastRequest{Cars: []string{sheet}, Notes: again, History: logs[:3], Next: "command", Members: o.Effort.Members}})
	if err != nil {
		t.Fatal(err)
	}
	want, err := p.PassCard("auto", "")
	if err != nil {
		t.Fatal(err)
	}
	// The page names in the reader's units what was not run before, and adds wind and ticks.
	leave := cmpopts.IgnoreFields(card.Card{}, "For", "Made", "New", "Missing", "Cautions", "Notes")
	if d := cmp.Diff(want, got, leave, cmpopts.EquateEmpty()); d != "" {
		t.Errorf("the command's card (-), the page's (+):\n%s", d)
	}
	if len(got.New) != len(want.New) || len(got.Missing) != 10 || len(got.Protection) == 0 {
		t.Errorf("%d settings not run before, the command has %d; %d not done; %d thresholds", len(got.New), len(want.New), len(got.Missing), len(got.Protection))
	}

	// Settings by hand, half a step up in the last gear.
	set := url.Values{"boost": {"9.9", "15.1", "23.2", "33.4"}, "shift": {"7700", "7750", "7800"}, "barometer": {"1000.4"}, "air": {"74"}, "crosswind": {"9"}, "gust": {"16"}, "launch_rpm": {"4300"}, "do": {"card"}}
	body, kind := form(set)
	w := ask(s, "POST", "/api/v1/cars/Marl/next", body, kind)
	var started web.Started
	if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil {
		t.Fatal(err, w.Body)
	}
	j := waitFor(t, s, started.Job)
	if j.Error != "" || !strings.Contains(j.Goto, "/card/") {
		t.Fatalf("%+v", j)
	}
	page := ask(s, "GET", j.Goto, nil).Body.String()
	for _, want := range []string{"33.4", "Not run before", "9 mph across it from the right", "gusts to 16 mph", "Launch at 4300 rpm", "cut at once", "stop", "read back"} {
		if !strings.Contains(strings.ReplaceAll(page, "\u00a0", " "), want) {
			t.Errorf("the card of a hand does not say %q", want)
		}
	}
	pdf := ask(s, "GET", j.Goto+"/pdf", nil)
	if pdf.Code != 200 || pdf.Header().Get("Content-Type") != "application/pdf" || !bytes.HasPrefix(pdf.Body.Bytes(), []byte("%PDF-")) {
		t.Errorf("the PDF: %d, %s", pdf.Code, pdf.Header().Get("Content-Type"))
	}
	if code, text := post(s, "/cars/Marl/next", url.Values{"do": {"accept"}, "id": {"nothing"}}); code != 422 {
		t.Errorf("accepting no plan: %d %s", code, text)
	}
}
