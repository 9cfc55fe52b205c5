package web_test

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/json"
	"fmt"
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
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
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

func TestGuard(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir())
	guest := func(r *http.Request) { r.RemoteAddr = "192.0.2.7:40000" }
	for _, c := range []struct {
		name, method, path string
		change             func(*http.Request)
		want               int
	}{
		{"this machine", "GET", "/", func(*http.Request) {}, 200},
		{"by name", "GET", "/", func(r *http.Request) { r.Host = "localhost:1" }, 200},
		{"by another's name", "GET", "/", func(r *http.Request) { r.Host = "evil.example:8000" }, 421},
		{"another machine", "GET", "/", guest, 403},
		{"another site's form", "POST", "/demo", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "cross-site") }, 403},
		{"another origin", "POST", "/demo", func(r *http.Request) { r.Header.Set("Origin", "http://evil.example") }, 403},
		{"another method", "DELETE", "/passes/x", func(*http.Request) {}, 405},
		{"no page", "GET", "/nowhere", func(*http.Request) {}, 404},
		{"no pass", "GET", "/passes/nobody", func(*http.Request) {}, 404},
		{"no work", "GET", "/jobs/nothing", func(*http.Request) {}, 404},
		{"out of the folder", "GET", "/assets/..%2f..%2fserver.go", func(*http.Request) {}, 404},
	} {
		w := ask(s, c.method, c.path, nil, c.change)
		if w.Code != c.want {
			t.Errorf("%s: %d, want %d", c.name, w.Code, c.want)
		}
		for _, h := range []string{"Content-Security-Policy", "X-Content-Type-Options", "Referrer-Policy"} {
			if w.Header().Get(h) == "" {
				t.Errorf("%s: no %s", c.name, h)
			}
		}
	}
	if p := ask(s, "GET", "/", nil).Header().Get("Content-Security-Policy"); strings.Contains(p, "unsafe") || !strings.Contains(p, "default-src 'none'") {
		t.Errorf("the policy is loose: %s", p)
	}
}

func TestPitNetwork(t *testing.T) {
	t.Parallel()
	now := time.Date(2033, 6, 11, 12, 0, 0, 0, time.UTC)
	s := serve(t, t.TempDir(), func(o *web.Options) { o.Code, o.Now = "abcde-fghjk", func() time.Time { return now } })
	guest := func(from string) func(*http.Request) {
		return func(r *http.Request) { r.RemoteAddr, r.Host = from+":40000", "192.0.2.1:8080" }
	}
	if w := ask(s, "GET", "/", nil, guest("192.0.2.7")); w.Code != 303 || w.Header().Get("Location") != "/enter" {
		t.Fatalf("without a code: %d", w.Code)
	}
	enter := func(from, code string) *httptest.ResponseRecorder {
		body, kind := form(url.Values{"code": {code}})
		return ask(s, "POST", "/enter", body, kind, guest(from))
	}
	for range 5 {
		if w := enter("192.0.2.7", "wrong"); w.Code != 403 {
			t.Fatalf("a wrong code: %d", w.Code)
		}
	}
	if w := enter("192.0.2.7", "abcde-fghjk"); w.Code != 429 {
		t.Errorf("the sixth try in a minute: %d", w.Code)
	}
	now = now.Add(2 * time.Minute)
	w := enter("192.0.2.7", " ABCDE-fghjk ")
	if w.Code != 303 || len(w.Result().Cookies()) != 1 {
		t.Fatalf("the right code: %d %s", w.Code, w.Body)
	}
	cookie := w.Result().Cookies()[0]
	if !cookie.HttpOnly || cookie.SameSite != http.SameSiteStrictMode {
		t.Error("the session could be read or sent from elsewhere")
	}
	with := func(r *http.Request) { guest("192.0.2.7")(r); r.AddCookie(cookie) }
	if w := ask(s, "GET", "/", nil, with); w.Code != 200 || !strings.Contains(w.Body.String(), "read along") {
		t.Errorf("with the code: %d", w.Code)
	}
	if w := ask(s, "GET", "/", nil); !strings.Contains(w.Body.String(), "whoever has the code can read along") {
		t.Error("the machine's own page does not say that the network reads along")
	}
	for _, path := range []string{"/demo", "/logs", "/cars", "/cars/x/round"} {
		if w := ask(s, "POST", path, nil, with); w.Code != 403 {
			t.Errorf("a guest may POST %s: %d", path, w.Code)
		}
	}
	now = now.Add(13 * time.Hour)
	if w := ask(s, "GET", "/", nil, with); w.Code != 303 {
		t.Errorf("after the session's end: %d", w.Code)
	}
	// Many visitors together are slowed too.
	for i := range 30 {
		enter(fmt.Sprintf("192.0.2.%d", i+20), "wrong")
	}
	if w := enter("192.0.2.99", "wrong"); w.Code != 429 {
		t.Errorf("the 31st wrong code of all: %d", w.Code)
	}
}

func TestSizeOfUI(t *testing.T) {
	t.Parallel()
	s := serve(t, t.TempDir())
	page := ask(s, "GET", "/", nil).Body.String()
	total := 0
	for _, name := range []string{"style.css", "page.js", "traces.js", "next.js", "print.js", "uPlot.iife.min.js", "uPlot.min.css"} {
		w := ask(s, "GET", "/assets/"+name, nil)
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		z.Write(w.Body.Bytes())
		z.Close()
		total += b.Len()
	}
	if total > 250_000 || total < 20_000 {
		t.Errorf("script and style are %d bytes packed, want under 250 kB", total)
	}
	if strings.Contains(page, "<style") || strings.Contains(page, " style=") || strings.Contains(page, " onclick") {
		t.Error("the page holds style or script of its own")
	}
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
