package web_test

import (
	"bytes"
	"context"
	"encoding/json"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"traplight/internal/app"
	"traplight/internal/web"
)

// server is one over a store, with its end.
type server struct {
	*web.Server
	shop *app.Shop
	once sync.Once
}

func (s *server) stop() {
	s.once.Do(func() {
		s.Close()
		s.shop.Close()
	})
}

func serve(t testing.TB, dir string, change ...func(*web.Options)) *server {
	t.Helper()
	shop, err := app.OpenShop(context.Background(), dir, "traplight test", true)
	if err != nil {
		t.Fatal(err)
	}
	o := web.Options{Shop: shop, Program: "traplight test", Units: "auto"}
	for _, c := range change {
		c(&o)
	}
	s, err := web.New(o)
	if err != nil {
		t.Fatal(err)
	}
	out := &server{Server: s, shop: shop}
	t.Cleanup(out.stop)
	return out
}

// ask sends one request as a browser on this machine would.
func ask(s http.Handler, method, path string, body io.Reader, change ...func(*http.Request)) *httptest.ResponseRecorder {
	r := httptest.NewRequest(method, "http://127.0.0.1:8000"+path, body)
	r.RemoteAddr = "127.0.0.1:40000"
	for _, c := range change {
		c(r)
	}
	w := httptest.NewRecorder()
	s.ServeHTTP(w, r)
	return w
}

func form(v url.Values) (io.Reader, func(*http.Request)) {
	return strings.NewReader(v.Encode()), func(r *http.Request) { r.Header.Set("Content-Type", "application/x-www-form-urlencoded") }
}

// add sends files as a form and waits for the work.
func add(t testing.TB, s http.Handler, paths ...string) web.Job {
	t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for _, p := range paths {
		data, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		w, err := m.CreateFormFile("file", filepath.Base(p))
		if err != nil {
			t.Fatal(err)
		}
		w.Write(data)
	}
	m.Close()
	w := ask(s, "POST", "/api/v1/logs", &b, func(r *http.Request) { r.Header.Set("Content-Type", m.FormDataContentType()) })
	if w.Code != http.StatusAccepted {
		t.Fatalf("adding: %d %s", w.Code, w.Body)
	}
	var started web.Started
	if err := json.Unmarshal(w.Body.Bytes(), &started); err != nil {
		t.Fatal(err)
	}
	return waitFor(t, s, started.Job)
}

func waitFor(t testing.TB, s http.Handler, id string) web.Job {
	t.Helper()
	for end := time.Now().Add(5 * time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		var j web.Job
		if err := json.Unmarshal(ask(s, "GET", "/api/v1/jobs/"+id, nil).Body.Bytes(), &j); err != nil {
			t.Fatal(err)
		}
		if j.Finished {
			return j
		}
	}
	t.Fatal("the work does not end")
	return web.Job{}
}

// TestDay goes through a day without a browser and holds the page's figures against
// those of the command line's calculation.
func TestDay(t *testing.T) {
	t.Parallel()
	dir, logs := demoShop(t)
	s := serve(t, t.TempDir())
	j := add(t, s, logs[0], filepath.Join(dir, "passes.toml"), filepath.Join(dir, "car_marl.toml"))
	if j.Error != "" || !strings.HasPrefix(j.Goto, "/passes/") {
		t.Fatalf("%+v", j)
	}
	page := ask(s, "GET", j.Goto, nil)
	if page.Code != 200 {
		t.Fatalf("the pass: %d %s", page.Code, page.Body)
	}
	at := 0
	for _, q := range []string{"Fit to go again?", "What happened", "Where the speed went", "Next pass</h2>", "What is used up", "The traces behind it"} {
		k := strings.Index(page.Body.String()[at:], q)
		if k < 0 {
			t.Fatalf("%q does not stand in its place", q)
		}
		at += k
	}
	want, err := app.Report(context.Background(), app.ReportRequest{Logs: logs[:1], Cars: []string{filepath.Join(dir, "car_marl.toml")}, Notes: filepath.Join(dir, "passes.toml"), Without: []string{"ledger"}})
	if err != nil {
		t.Fatal(err)
	}
	name := strings.TrimPrefix(j.Goto, "/passes/")
	var got struct {
		Passes []struct {
			Trap struct {
				Speed float64 `json:"speed_mps"`
			} `json:"trap"`
			Splits []struct {
				Time *float64 `json:"time_s"`
			} `json:"splits"`
		} `json:"passes"`
	}
	if err := json.Unmarshal(ask(s, "GET", "/api/v1/passes/"+name+"/report", nil).Body.Bytes(), &got); err != nil {
		t.Fatal(err)
	}
	if got.Passes[0].Trap.Speed != *want.Passes[0].Trap.SpeedMps || len(got.Passes[0].Splits) != len(want.Passes[0].Splits) {
		t.Errorf("the page's report has %v, the command's %v", got.Passes[0].Trap.Speed, *want.Passes[0].Trap.SpeedMps)
	}
	for i, k := range got.Passes[0].Splits {
		if *k.Time != *want.Passes[0].Splits[i].TimeS {
			t.Errorf("split %d: %v, the command's %v", i, *k.Time, *want.Passes[0].Splits[i].TimeS)
		}
	}
	traces(t, s, name)
	// Twice is harmless, a file that is no log is told.
	if j := add(t, s, logs[0]); j.Error != "" {
		t.Errorf("adding twice: %s", j.Error)
	}
	bad := filepath.Join(t.TempDir(), "holiday.csv")
	os.WriteFile(bad, []byte("nothing"), 0o600)
	if j := add(t, s, bad); !strings.Contains(j.Error, "holiday.csv") {
		t.Errorf("a file that is no log: %q", j.Error)
	}
	cardRule(t, s, name)
	for _, path := range []string{"/", "/compare", "/cars", "/cars/Marl", "/cars/new", "/cars/Marl/next", "/cars/Marl/round", "/passes/" + name + "/notes", "/compare?pass=" + name} {
		if w := ask(s, "GET", path, nil); w.Code != 200 {
			t.Errorf("%s: %d", path, w.Code)
		}
	}
}

func traces(t *testing.T, s http.Handler, name string) {
	t.Helper()
	var all, near web.Traces
	if err := json.Unmarshal(ask(s, "GET", "/passes/"+name+"/traces?points=400", nil).Body.Bytes(), &all); err != nil {
		t.Fatal(err)
	}
	if len(all.Rows) < 10 || len(all.Gears) < 3 || len(all.Shifts) < 2 {
		t.Errorf("%d rows, %d gears, %d shifts", len(all.Rows), len(all.Gears), len(all.Shifts))
	}
	for _, r := range all.Rows {
		if len(r.V) > 402 || len(r.T) != len(r.V) || len(r.X) != len(r.V) || !slices.IsSorted(r.T) {
			t.Errorf("%s: %d points", r.Name, len(r.V))
		}
	}
	if err := json.Unmarshal(ask(s, "GET", "/passes/"+name+"/traces?points=400&from=2&to=3", nil).Body.Bytes(), &near); err != nil {
		t.Fatal(err)
	}
	for _, r := range near.Rows {
		if r.T[0] < 2 || r.T[len(r.T)-1] > 3 {
			t.Errorf("%s: from %v to %v, asked 2 to 3", r.Name, r.T[0], r.T[len(r.T)-1])
		}
	}
}

// cardRule: no card without a forecast; the ticks and an inspection are kept.
func cardRule(t *testing.T, s http.Handler, name string) {
	t.Helper()
	if w := ask(s, "GET", "/cars/Marl/card/nothing", nil); w.Code != 404 {
		t.Errorf("a card of nothing: %d", w.Code)
	}
	body, kind := form(url.Values{"found": {"plugs read: clean"}, "by": {"the crew"}})
	if w := ask(s, "POST", "/passes/"+name+"/inspection", body, kind); w.Code != 303 {
		t.Errorf("an inspection: %d", w.Code)
	}
	if w := ask(s, "GET", "/passes/"+name, nil); !strings.Contains(w.Body.String(), "plugs read: clean") {
		t.Error("the inspection does not stand on the pass")
	}
	body, kind = form(url.Values{"pass": {name}, "done": {"wheel nuts", "battery"}})
	if w := ask(s, "POST", "/cars/Marl/round", body, kind); w.Code != 303 {
		t.Errorf("the ticks: %d", w.Code)
	}
	if w := ask(s, "GET", "/cars/Marl/round", nil); strings.Count(w.Body.String(), " checked") != 2 {
		t.Error("the ticks are not kept")
	}
	body, kind = form(url.Values{"car": {"Marl"}, "file": {"car_marl.toml"}, "text": {"name = \"Marl\"\n[body]\nmas_kg = 3\n"}})
	if w := ask(s, "POST", "/cars", body, kind); w.Code != 422 || !strings.Contains(w.Body.String(), "mass_kg") {
		t.Errorf("a sheet with a wrong key: %d", w.Code)
	}
}
