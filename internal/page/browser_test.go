package page_test

import (
	"context"
	"encoding/json"
	"iter"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// browser starts a headless one, or skips.
func browser(t *testing.T) context.Context {
	t.Helper()
	var exe string
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			exe = p
			break
		}
	}
	if exe == "" {
		t.Skip("no browser on this machine")
	}
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(exe), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-quic", true), chromedp.Flag("disable-gpu", true),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("the browser does not start: %v", err)
	}
	return ctx
}

// keep saves a picture where TRAPLIGHT_PICTURES says, to be looked at.
func keep(t *testing.T, name string, data []byte) {
	t.Helper()
	dir := os.Getenv("TRAPLIGHT_PICTURES")
	if dir == "" {
		return
	}
	if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
		t.Error(err)
	}
}

// inPage is what a script looks up in an opened page. (The page itself has none.)
type inPage struct {
	Wide, Inner     int
	Charts, Visible int
	Small           []string
	Headings        []string
}

const lookUp = `(() => {
  const charts = [...document.querySelectorAll('figure svg')];
  const small = [];
  for (const e of document.querySelectorAll('a, summary, input, button')) {
    const r = e.getBoundingClientRect();
    if (!e.classList.contains('skip') && r.height > 0 && r.height < 44) small.push(e.textContent.trim());
  }
  return JSON.stringify({
    Wide: document.documentElement.scrollWidth, Inner: window.innerWidth,
    Charts: charts.length, Visible: charts.filter(c => c.getBoundingClientRect().width > 0).length,
    Small: small, Headings: [...document.querySelectorAll('h3')].map(h => h.textContent),
  });
})()`

// TestInBrowser opens the pages on a laptop and on a phone, light and dark, and
// prints them: drawings are there, nothing is wider than the screen, nothing is asked
// of another machine, no script is needed.
func TestInBrowser(t *testing.T) {
	files := pages(t)
	ctx := browser(t)
	var mu sync.Mutex
	var asked []string
	listen(ctx, t, func(u string) {
		mu.Lock()
		defer mu.Unlock()
		if !strings.HasPrefix(u, "file:") && !strings.HasPrefix(u, "about:") && !strings.HasPrefix(u, "data:") {
			asked = append(asked, u)
		}
	})
	for _, name := range []string{"report", "compare", "finding"} {
		address := (&url.URL{Scheme: "file", Path: files[name]}).String()
		for _, screen := range []struct {
			name  string
			w, h  int64
			shade string
		}{{"laptop", 1366, 768, "light"}, {"phone", 390, 844, "light"}, {"laptop-dark", 1366, 768, "dark"}} {
			shade := &emulation.MediaFeature{Name: "prefers-color-scheme", Value: screen.shade}
			err := chromedp.Do(ctx,
				chromedp.EmulateViewport(screen.w, screen.h),
				chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
					_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{shade}})
					return err
				}),
				chromedp.Navigate(address))
			if err != nil {
				t.Fatal(err)
			}
			text, err := chromedp.Run(ctx, chromedp.Evaluate[string](lookUp))
			if err != nil {
				t.Fatal(err)
			}
			var in inPage
			if err := json.Unmarshal([]byte(text), &in); err != nil {
				t.Fatal(err)
			}
			where := name + " on " + screen.name
			if in.Wide > in.Inner {
				t.Errorf("%s: %d px wide on a screen of %d", where, in.Wide, in.Inner)
			}
			if in.Visible == 0 || 2*in.Visible > in.Charts+1 {
				t.Errorf("%s: %d of %d drawings are shown, want one of each pair", where, in.Visible, in.Charts)
			}
			if len(in.Small) > 0 {
				t.Errorf("%s: too small to touch: %q", where, in.Small)
			}
			if name == "report" && screen.name == "laptop" {
				want := []string{"Fit to go again?", "What happened"}
				if len(in.Headings) < 2 || in.Headings[0] != want[0] || in.Headings[1] != want[1] {
					t.Errorf("the questions are %q", in.Headings)
				}
			}
			if png, err := chromedp.Run(ctx, chromedp.FullScreenshot(100)); err != nil {
				t.Error(err)
			} else {
				keep(t, name+"-"+screen.name+".png", png)
			}
		}
		pdf, err := chromedp.Run(ctx, func(ctx context.Context, s *chromedp.Target) ([]byte, error) {
			background, size := true, true
			r, err := cdp.Call(ctx, s, cdpage.PrintToPDF, cdpage.PrintToPDFParams{PrintBackground: &background, PreferCSSPageSize: &size})
			if err != nil {
				return nil, err
			}
			return r.Data, nil
		})
		if err != nil {
			t.Fatal(err)
		}
		keep(t, name+".pdf", pdf)
		if n := strings.Count(string(pdf), "/Type /Page\n") + strings.Count(string(pdf), "/Type /Page "); n > 9 {
			t.Errorf("%s prints to %d pages", name, n)
		}
	}
	time.Sleep(100 * time.Millisecond)
	mu.Lock()
	defer mu.Unlock()
	if len(asked) > 0 {
		t.Errorf("other machines were asked: %q", asked)
	}
}

// listen tells every request that the page makes.
func listen(ctx context.Context, t *testing.T, tell func(url string)) {
	t.Helper()
	err := chromedp.Do(ctx, chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
		_, err := cdp.Call(ctx, s, network.Enable, network.EnableParams{})
		return err
	}))
	if err != nil {
		t.Fatal(err)
	}
	events, err := chromedp.Run(ctx, func(ctx context.Context, s *chromedp.Target) (iter.Seq2[network.EventRequestWillBeSent, error], error) {
		return cdp.Events(ctx, s, network.RequestWillBeSent), nil
	})
	if err != nil {
		t.Fatal(err)
	}
	go func() {
		for e, err := range events {
			if err != nil {
				return
			}
			if e.Request != nil {
				tell(e.Request.URL)
			}
		}
	}()
}
