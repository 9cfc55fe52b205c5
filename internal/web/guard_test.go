package web_test

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"
	"time"

	"traplight/internal/web"
)

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
