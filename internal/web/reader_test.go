package web_test

import (
	"context"
	"encoding/json"
	"iter"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
)

// reader is someone at a browser.
type reader struct {
	t     *testing.T
	ctx   context.Context
	base  string
	began time.Time

	mu       sync.Mutex
	asked    []string // of other machines
	grumbles []string // of the console
}

func newReader(t *testing.T, base string) *reader {
	b := &reader{t: t, ctx: browser(t), base: base, began: time.Now()}
	b.do(chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
		if _, err := cdp.Call(ctx, s, network.Enable, network.EnableParams{}); err != nil {
			return err
		}
		// Each window takes the keyboard for its own, whatever the others do.
		_, err := cdp.Call(ctx, s, emulation.SetFocusEmulationEnabled, emulation.SetFocusEmulationEnabledParams{Enabled: true})
		return err
	}))
	events, err := chromedp.Run(b.ctx, func(ctx context.Context, s *chromedp.Target) (iter.Seq2[network.EventRequestWillBeSent, error], error) {
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
			if u := e.Request.URL; !strings.HasPrefix(u, base) && !strings.HasPrefix(u, "data:") && !strings.HasPrefix(u, "about:") && !strings.HasPrefix(u, "blob:") {
				b.mu.Lock()
				b.asked = append(b.asked, u)
				b.mu.Unlock()
			}
		}
	}()
	messages := chromedp.Console(b.ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			if m.IsException() || m.Type == "error" || m.Type == "warning" {
				b.mu.Lock()
				b.grumbles = append(b.grumbles, m.String()+" "+m.URL)
				b.mu.Unlock()
			}
		}
	}()
	return b
}

func (b *reader) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

func (b *reader) open(path string) {
	b.t.Helper()
	b.do(chromedp.Navigate(b.base + path))
}

// js evaluates an expression that gives a string.
func (b *reader) js(expression string) string {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits for an expression to be true.
func (b *reader) until(what, expression string) {
	b.t.Helper()
	end := time.Now().Add(4 * time.Minute)
	for time.Now().Before(end) {
		// While a page changes, there is nothing to evaluate in.
		if v, err := chromedp.Run(b.ctx, chromedp.Evaluate[string](`String(document.readyState === "complete" && !!(`+expression+`))`)); err == nil && v == "true" {
			return
		}
		time.Sleep(60 * time.Millisecond)
	}
	b.t.Fatalf("%s did not come; the page says: %.600s", what, b.js(`document.body.innerText`))
}

// wait waits for something outside the browser.
func (b *reader) wait(what string, done func() bool) {
	b.t.Helper()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if done() {
			return
		}
	}
	b.t.Fatalf("%s did not come", what)
}

// quiet tells what the console complained of, but for answers with the codes that were
// expected, and which other machines were asked.
func (b *reader) quiet(expected ...string) {
	b.t.Helper()
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.asked) > 0 {
		b.t.Errorf("other machines were asked: %q", b.asked)
	}
	for _, g := range b.grumbles {
		if !slices.ContainsFunc(expected, func(code string) bool { return strings.Contains(g, code) }) {
			b.t.Errorf("the console: %s", g)
		}
	}
}

func (b *reader) press(keys string) { b.t.Helper(); b.do(chromedp.KeyEvent(keys)) }

// picture keeps what is seen where TRAPLIGHT_PICTURES says.
func (b *reader) picture(name string) {
	b.t.Logf("%5.1f s: %s", time.Since(b.began).Seconds(), name)
	dir := os.Getenv("TRAPLIGHT_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
	if err != nil {
		b.t.Error(err)
	}
}

const lookUp = `(() => {
  const small = [];
  for (const e of document.querySelectorAll('summary, button, select, input:not([type=hidden]):not([type=checkbox]), a.go, nav a, .pick')) {
    const r = e.getBoundingClientRect();
    if (r.height > 0 && (r.height < 43.5 || r.width < 43.5)) small.push(e.outerHTML.slice(0, 90));
  }
  const over = [];
  for (const art of document.querySelectorAll('svg')) {
    const words = [...art.querySelectorAll('text')].map(e => ({ says: e.textContent, r: e.getBoundingClientRect() })).filter(w => w.r.width > 0);
    words.forEach((a, i) => words.slice(i + 1).forEach(b => {
      const wide = Math.min(a.r.right, b.r.right) - Math.max(a.r.left, b.r.left), high = Math.min(a.r.bottom, b.r.bottom) - Math.max(a.r.top, b.r.top);
      if (wide > 2 && high > 5) over.push(a.says + ' / ' + b.says);
    }));
  }
  return JSON.stringify({ Wide: document.documentElement.scrollWidth, Inner: window.innerWidth, Small: small, Over: over });
})()`

// check looks at what every page must be: no wider than the screen, large enough to
// touch, no words of a drawing on one another, and without a complaint of the accessibility checker (axe-core, WCAG 2.2 A and
// AA rules, and its own on headings, landmarks and tables).
func (b *reader) check(where string) {
	b.t.Helper()
	b.fits(where)
	b.accessible(where)
}

func (b *reader) fits(where string) {
	b.t.Helper()
	var in struct {
		Wide, Inner int
		Small, Over []string
	}
	if err := json.Unmarshal([]byte(b.js(lookUp)), &in); err != nil {
		b.t.Fatal(err)
	}
	if in.Wide > in.Inner {
		b.t.Errorf("%s: %d px wide on a screen of %d", where, in.Wide, in.Inner)
	}
	if len(in.Small) > 0 {
		b.t.Errorf("%s: too small to touch: %q", where, in.Small)
	}
	if len(in.Over) > 0 {
		b.t.Errorf("%s: words of a drawing stand on one another: %q", where, in.Over)
	}
}

func (b *reader) accessible(where string) {
	b.t.Helper()
	axe, err := os.ReadFile("testdata/thirdparty/axe/axe.min.js")
	if err != nil {
		b.t.Fatal(err)
	}
	if b.js(`typeof axe`) == "undefined" {
		b.js(string(axe) + `;"there"`)
	}
	b.js(`window.found = null; axe.run(document, {runOnly: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa','best-practice'], resultTypes: ['violations']}).then(
	  r => { window.found = JSON.stringify(r.violations.map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.target + ' ' + n.failureSummary).join(' | '))) },
	  e => { window.found = JSON.stringify(['checker: ' + e]) }); ""`)
	b.until("the accessibility checker", "window.found")
	var found []string
	if err := json.Unmarshal([]byte(b.js("window.found")), &found); err != nil {
		b.t.Fatal(err)
	}
	for _, f := range found {
		b.t.Errorf("%s: %s", where, f)
	}
}

var laptop, phone = chromedp.EmulateViewport(1366, 768), chromedp.EmulateViewport(390, 844)

// both looks at a page on the laptop and on the phone. The accessibility checker looks
// once: both have the same elements and colours.
func (b *reader) both(name, path string) {
	b.t.Helper()
	b.do(phone)
	b.open(path)
	b.check(name + " on the phone")
	b.picture(name + "-phone")
	b.do(laptop)
	b.open(path)
	b.fits(name + " on the laptop")
	b.picture(name)
}
