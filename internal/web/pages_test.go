package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"mime/multipart"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"traplight/internal/caution"
	"traplight/internal/life"
	"traplight/internal/report"
	"traplight/internal/store"
	"traplight/internal/web"
)

// stocked is a server over the first two passes of the invented day.
func stocked(t *testing.T) *server { return serve(t, storeOf(t, 2)) }

func post(s http.Handler, path string, v url.Values) (int, string) {
	body, kind := form(v)
	w := ask(s, "POST", path, body, kind)
	return w.Code, w.Body.String()
}

// TestShopPages goes through parts, trends, strips, the record of forecasts, backup and
// restore.
func TestShopPages(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	page := func(path, want string) string {
		t.Helper()
		w := ask(s, "GET", path, nil)
		if w.Code != 200 || !strings.Contains(w.Body.String(), want) {
			t.Errorf("%s: %d, want %q in it", path, w.Code, want)
		}
		return w.Body.String()
	}
	page("/cars/Marl/parts", "No parts are written down yet")
	if code, text := post(s, "/cars/Marl/parts", url.Values{"text": {"[[part]]\nserial = \"C-1\"\ndue_pases = 1\n"}}); code != 422 || !strings.Contains(text, "due_passes") {
		t.Errorf("a wrong key: %d", code)
	}
	if code, _ := post(s, "/cars/Marl/parts", url.Values{"text": {"[[part]]\nserial = \"C-1\"\nname = \"clutch\"\ninstalled = 2033-01-01\ndue_passes = 2\n"}}); code != 303 {
		t.Fatalf("parts: %d", code)
	}
	w := ask(s, "GET", "/api/v1/cars/Marl/parts", nil)
	if w.Code == http.StatusAccepted {
		var started web.Started
		if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil {
			t.Fatal(err)
		}
		waitFor(t, s, started.Job)
		w = ask(s, "GET", "/api/v1/cars/Marl/parts", nil)
	}
	var counted life.Result
	if err := json.Unmarshal(w.Body.Bytes(), &counted); err != nil || len(counted.Parts) != 1 || counted.Parts[0].Passes != 6 {
		// four passes of the notes have no log and count all the same
		t.Errorf("counted: %v %s", err, w.Body)
	}
	page("/cars/Marl/parts", "is due")
	page("/cars/Marl/trends", "in the last pass")
	page("/cars/Marl/trends?of=peak+wheel+power", "Peak wheel power")
	page("/record", "No forecast has met its pass yet")

	page("/strips", "to stop in")
	if code, text := post(s, "/strips", url.Values{"kind": {"strip"}, "text": {"id = \"plain\"\nlenght_m = 800\n"}}); code != 422 || !strings.Contains(text, "length_m") {
		t.Errorf("a strip with a wrong key: %d", code)
	}
	if code, _ := post(s, "/strips", url.Values{"kind": {"pass"}, "text": {"id = \"x\"\n"}}); code != 422 {
		t.Errorf("a pass kept as a strip: %d", code)
	}

	backup := ask(s, "POST", "/backup", nil)
	if backup.Code != 200 || backup.Header().Get("Content-Type") != "application/zip" || backup.Body.Len() < 10_000 {
		t.Fatalf("the backup: %d, %d bytes", backup.Code, backup.Body.Len())
	}
	if code, _ := post(s, "/passes/marl-2033-06-11-2/remove", nil); code != 303 {
		t.Fatal("a pass is not removed")
	}
	if w := restore(t, s, backup.Body.Bytes()); w != 200 {
		t.Fatalf("restoring: %d", w)
	}
	page("/passes/marl-2033-06-11-2", "What happened")
	if w := restore(t, s, []byte("no backup")); w != 422 {
		t.Errorf("restoring nonsense: %d", w)
	}
	page("/", "marl-2033-06-11-2")
	page("/keep", "the parts of Marl were written down")
	if w := ask(s, "GET", "/keep", nil); strings.Contains(w.Body.String(), "analyse") || strings.Contains(w.Body.String(), "1 logs") {
		t.Error("the journal is told in the program's words")
	}
}

func restore(t *testing.T, s http.Handler, data []byte) int {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	f, err := m.CreateFormFile("file", "backup.zip")
	if err != nil {
		t.Fatal(err)
	}
	f.Write(data)
	m.Close()
	return ask(s, "POST", "/restore", &b, func(r *http.Request) { r.Header.Set("Content-Type", m.FormDataContentType()) }).Code
}

// TestNextPass works a pass out as the page does, and holds what it forbids: no card with
// a strip too short to stop in.
func TestNextPass(t *testing.T) {
	if testing.Short() {
		t.Skip("a fit takes seconds")
	}
	t.Parallel()
	s := serve(t, storeOf(t, 3), lightly, func(o *web.Options) { o.Effort.Still = false })
	shorten(t, s)
	set := url.Values{"boost": {"9.9", "15.1", "23.2", "34.1"}, "shift": {"7700", "7750", "7800"}, "barometer": {"1000.4"}, "air": {"74"}}
	live := comingOf(t, s, "coming", set)
	if !live.Full || live.P05 >= live.Mean || live.Mean >= live.P95 || live.Mean < 150 || live.Mean > 230 || live.Range == nil || len(live.Range.Boost) != 4 {
		t.Errorf("%+v", live)
	}
	if !strings.Contains(live.Refused, "1969 ft") {
		t.Errorf("the strip has 600 m; the refusal says %q", live.Refused)
	}
	if l := comingOf(t, s, "coming", url.Values{}); !l.Full || l.Mean < 150 {
		t.Errorf("nothing stated is the same again, not %+v", l)
	}
	set.Set("do", "card")
	body, kind := form(set)
	w := ask(s, "POST", "/cars/Marl/next", body, kind, func(r *http.Request) { r.Header.Set("Accept", "application/json") })
	var started web.Started
	if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil {
		t.Fatal(err, w.Body)
	}
	j := waitFor(t, s, started.Job)
	if j.Error != "" || !strings.Contains(j.Goto, "/next?id=") {
		t.Fatalf("%+v", j)
	}
	if page := ask(s, "GET", j.Goto, nil).Body.String(); !strings.Contains(page, "No card.") || !strings.Contains(page, "1969 ft") {
		t.Error("the page does not say why there is no card")
	}
	if w := ask(s, "GET", strings.Replace(strings.Replace(j.Goto, "/next?id=", "/card/", 1), "%20", " ", -1), nil); w.Code != 409 {
		t.Errorf("a card all the same: %d", w.Code)
	}
	if page := ask(s, "GET", "/record", nil).Body.String(); !strings.Contains(page, "Waiting for its pass, Marl:") {
		t.Error("the record does not tell of the forecast that waits for its pass")
	}
	set["boost"][3] = "34.0"
	if l := comingOf(t, s, "guess", set); l.Full || l.Mean < 150 || l.Job == "" {
		t.Errorf("a slider that moves has no quick look that is made sharper behind it: %+v", l)
	}
	for _, bad := range []string{"", "many"} {
		set["boost"][0] = bad
		if code, _ := post(s, "/api/v1/cars/Marl/coming", set); code != 422 {
			t.Errorf("boost %q: %d", bad, code)
		}
	}
}

// TestStandDown: no card after stand down before an inspection is entered.
func TestStandDown(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	ctx := context.Background()
	p, err := s.shop.FindOne(ctx, "marl-2033-06-11-2")
	if err != nil {
		t.Fatal(err)
	}
	res, err := s.shop.Result(ctx, p.SHA256)
	if err != nil {
		t.Fatal(err)
	}
	var rep report.Report
	if err := json.Unmarshal(res.Report, &rep); err != nil {
		t.Fatal(err)
	}
	judge := func(verdict string) {
		t.Helper()
		*rep.Passes[p.Number].Health.Verdict = verdict
		rep.Passes[p.Number].Health.Findings = []report.Finding{{Kind: "boost leak", Severity: "gross", LookAt: []string{"couplings and clamps", "cooler end tanks"}}}
		found, err := json.Marshal(rep)
		if err != nil {
			t.Fatal(err)
		}
		a := &store.Analysis{Report: found, Inputs: res.Inputs, Car: p.Car, Passes: []store.PassRow{{
			NoteKey: p.NoteKey, Event: p.Event, RunAt: p.RunAt, Launch: p.Launch, Complete: true, TrapSpeed: p.TrapSpeed, Verdict: verdict,
		}}}
		if err := s.shop.PutResult(ctx, p.SHA256, a); err != nil {
			t.Fatal(err)
		}
	}
	// After inspect the card is the crew's to make: the caution stands above its button.
	judge("inspect")
	if _, page, _ := strings.Cut(ask(s, "GET", "/cars/Marl/next", nil).Body.String(), "The last pass says inspect."); !strings.HasPrefix(page, "</b> "+caution.Doubt) || !strings.Contains(page, `value="card"`) {
		t.Error("after inspect the page does not say so before its buttons")
	}
	judge("stand down")
	for _, at := range []string{"/", "/passes/" + p.Name} {
		text := ask(s, "GET", at, nil).Body.String()
		for _, want := range []string{caution.Doubt, "tand down: ", "boost leak", "couplings and clamps; cooler end tanks"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s does not say %q", at, want)
			}
		}
	}
	page := ask(s, "GET", "/cars/Marl/next", nil).Body.String()
	if !strings.Contains(page, "Pass\u00a02 was judged &#39;stand down&#39;") || !strings.Contains(page, "What was inspected") {
		t.Error("after stand down the page does not ask for an inspection")
	}
	before, err := s.shop.Entries(ctx, store.PlannedEntry)
	if err != nil {
		t.Fatal(err)
	}
	if code, text := post(s, "/cars/Marl/next", url.Values{"do": {"card"}}); code != 422 || !strings.Contains(text, "enter what was inspected and found before there is a card") {
		t.Errorf("a card before the inspection: %d", code)
	}
	if planned, err := s.shop.Entries(ctx, store.PlannedEntry); err != nil || len(planned) != len(before) {
		t.Errorf("a card that was refused leaves a planned pass behind: %d before, now %d (%v)", len(before), len(planned), err)
	}
	if code, _ := post(s, "/passes/"+p.Name+"/inspection", url.Values{"found": {" "}}); code != 422 {
		t.Errorf("an empty inspection: %d", code)
	}
	body, kind := form(url.Values{"found": {"plugs read, oil filter cut open: clean"}, "by": {"the crew"}, "back": {"/cars/Marl/next"}})
	if w := ask(s, "POST", "/passes/"+p.Name+"/inspection", body, kind); w.Code != 303 || w.Header().Get("Location") != "/cars/Marl/next" {
		t.Errorf("the inspection: %d to %s", w.Code, w.Header().Get("Location"))
	}
	if page := ask(s, "GET", "/cars/Marl/next", nil).Body.String(); strings.Contains(page, "Pass\u00a02 was judged &#39;stand down&#39;") {
		t.Error("after the inspection there is still no card")
	}
	for _, at := range []string{"/", "/passes/" + p.Name} {
		if text := ask(s, "GET", at, nil).Body.String(); strings.Contains(text, caution.Doubt) || !strings.Contains(text, "Plugs read, oil filter cut open: clean.") {
			t.Errorf("%s does not say what was inspected since", at)
		}
	}
}

// TestPlannedInNotes: a pass planned in the notes stands on the day's page, and its settings
// are those of the pass before with the changes made.
func TestPlannedInNotes(t *testing.T) {
	t.Parallel()
	s := stocked(t)
	ctx := context.Background()
	if page := ask(s, "GET", "/", nil).Body.String(); !strings.Contains(page, "nothing is set yet") {
		t.Error("something is set already")
	}
	text := "id = \"more\"\nafter = \"m02\"\nchange = \"third up, longer in second\"\nboost_add_kpa_by_gear = [0, 0, 10, 0]\nshift_rpm_add = 50\n"
	if _, err := s.shop.PutEntry(ctx, store.Entry{Kind: store.PlannedEntry, Key: "more", Body: text}); err != nil {
		t.Fatal(err)
	}
	if page := ask(s, "GET", "/", nil).Body.String(); !strings.Contains(page, "not forecast yet: third up, longer in second.") || !strings.Contains(page, "/cars/Marl/next?id=more") {
		t.Error("the day does not tell of the pass that the notes plan")
	}
	// So does the pass before it; of one that was followed by another it is known what came.
	all, err := s.shop.Store.Passes(ctx, store.Filter{})
	if err != nil || len(all) < 2 {
		t.Fatal(len(all), err)
	}
	if page := ask(s, "GET", "/passes/"+all[len(all)-1].Name, nil).Body.String(); !strings.Contains(page, "Planned in the notes, not forecast yet: third up, longer in second.") {
		t.Error("the pass before does not tell of the one that the notes plan")
	}
	if page := ask(s, "GET", "/passes/"+all[0].Name, nil).Body.String(); !strings.Contains(page, "It has been run") || !strings.Contains(page, `<a href="/passes/`+all[1].Name+`">`) {
		t.Error("a pass that was followed by another says that nothing is set")
	}
	page := ask(s, "GET", "/cars/Marl/next?id=more", nil).Body.String()
	// m02 was run at 63, 97, 149 and 219 kPa, 7700, 7750 and 7800 rpm.
	kpa := func(v float64) string { return fmt.Sprintf(`value="%.1f"`, v/6.894757) }
	for _, want := range []string{kpa(63), kpa(97), kpa(159), kpa(219), `value="7750"`, `value="7800"`, `value="7850"`} {
		if !strings.Contains(page, want) {
			t.Errorf("the settings do not hold %s", want)
		}
	}
}

// comingOf asks until the work behind it is done.
func comingOf(t *testing.T, s http.Handler, what string, set url.Values) web.Live {
	t.Helper()
	for range 5 {
		code, text := post(s, "/api/v1/cars/Marl/"+what, set)
		var l web.Live
		if err := json.Unmarshal([]byte(text), &l); err != nil || code >= 300 {
			t.Fatalf("%d %s", code, text)
		}
		if l.Ready {
			return l
		}
		if j := waitFor(t, s, l.Job); j.Error != "" {
			t.Fatal(j.Error)
		}
	}
	t.Fatal("it is never ready")
	return web.Live{}
}

// shorten leaves the strip of the invented day 600 m to stop in.
func shorten(t *testing.T, s *server) {
	t.Helper()
	ctx := t.Context()
	all, err := s.shop.Store.Entries(ctx, store.StripEntry)
	if err != nil || len(all) != 1 {
		t.Fatal(len(all), err)
	}
	e := all[0]
	body := strings.Replace(e.Body, "shut_down_m = 1700", "shut_down_m = 600", 1)
	if body == e.Body {
		t.Fatalf("the strip is not as this test knows it: %s", body)
	}
	e.Body = body
	if _, err := s.shop.PutEntry(ctx, e); err != nil {
		t.Fatal(err)
	}
}

// TestNothingNoted holds that a log of which nothing was written down, and which tells no
// date, is run last, and that the form of the pass to come states no weather for it.
func TestNothingNoted(t *testing.T) {
	t.Parallel()
	dir, logs := demoShop(t)
	s := serve(t, t.TempDir(), lightly)
	log, err := os.ReadFile(logs[0])
	if err != nil {
		t.Fatal(err)
	}
	_, undated, ok := strings.Cut(string(log), "\"Start\",\"10:00\"\n")
	if !ok {
		t.Fatalf("the log's head is not as this test knows it: %.80s", log)
	}
	alone := filepath.Join(t.TempDir(), "alone.csv")
	if err := os.WriteFile(alone, []byte(undated), 0o600); err != nil {
		t.Fatal(err)
	}
	j := add(t, s, filepath.Join(dir, "car_marl.toml"), alone)
	if j.Error != "" {
		t.Fatal(j.Error)
	}
	if page := ask(s, "GET", j.Goto, nil).Body.String(); !strings.Contains(page, "when it was added") {
		t.Errorf("the pass does not say where its time comes from")
	}
	if page := ask(s, "GET", j.Goto+"/notes", nil).Body.String(); !strings.Contains(page, "# added then; say when it was run: when = ") {
		t.Errorf("its notes to fill in state the time of its adding as that of the pass")
	}
	if page := ask(s, "GET", "/", nil).Body.String(); !strings.Contains(page, ">added</small>") {
		t.Errorf("the day does not say where the time of the pass comes from")
	}
	page := ask(s, "GET", "/cars/Marl/next", nil).Body.String()
	for _, field := range []string{"air", "barometer", "humidity", "headwind", "gust"} {
		if !strings.Contains(page, fmt.Sprintf(`name="%s" inputmode="decimal" value=""`, field)) {
			t.Errorf("a %s is stated that nobody read", field)
		}
	}
}
