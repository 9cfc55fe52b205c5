package web_test

import (
	"context"
	"encoding/json"
	"fmt"
	"iter"
	"math"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// browser starts a headless one, or skips.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
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
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(exe), chromedp.UserDataDir(t.TempDir()),
		chromedp.Flag("headless", true), chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true),
		chromedp.Flag("no-first-run", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	ctx, end := context.WithTimeout(ctx, 12*time.Minute)
	t.Cleanup(end)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Skipf("the browser does not start: %v", err)
	}
	return ctx
}

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
		_, err := cdp.Call(ctx, s, network.Enable, network.EnableParams{})
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
				b.grumbles = append(b.grumbles, m.String())
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
  return JSON.stringify({ Wide: document.documentElement.scrollWidth, Inner: window.innerWidth, Small: small });
})()`

// check looks at what every page must be: no wider than the screen, large enough to
// touch, and without a complaint of the accessibility checker (axe-core, WCAG 2.2 A and
// AA rules).
func (b *reader) check(where string) {
	b.t.Helper()
	b.fits(where)
	b.accessible(where)
}

func (b *reader) fits(where string) {
	b.t.Helper()
	var in struct {
		Wide, Inner int
		Small       []string
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
	b.js(`window.found = null; axe.run(document, {runOnly: ['wcag2a','wcag2aa','wcag21a','wcag21aa','wcag22aa'], resultTypes: ['violations']}).then(
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

// TestInBrowser goes the whole way of a day: first start, the invented shop, a dropped
// log, a channel settled, the report, a comparison, the next pass, the card, paper,
// reload, the server started anew.
func TestInBrowser(t *testing.T) {
	dir := t.TempDir()
	s := serve(t, dir)
	front := httptest.NewServer(s)
	defer func() { front.Close() }()
	b := newReader(t, front.URL)

	b.do(phone)
	b.open("/")
	b.check("first start")
	b.picture("first-start-phone")
	b.do(laptop)
	b.open("/")
	b.picture("first-start")
	if got := b.js(`document.querySelector("h1").textContent`); got != "Nothing here yet" {
		t.Errorf("first start says %q", got)
	}

	// The invented shop, but for its last log, which is dropped afterwards.
	shop, logs := demoShop(t)
	last := logs[len(logs)-1]
	first := append([]string{filepath.Join(shop, "passes.toml"), filepath.Join(shop, "car_marl.toml")}, logs[:3]...)
	b.do(chromedp.SetUploadFiles("#files", first))
	b.until("progress", `location.pathname.startsWith("/jobs/") || document.querySelector(".passes")`)
	b.until("the day", `location.pathname === "/" && document.querySelectorAll(".passes tbody tr").length === 3`)
	b.both("day", "/")

	// A file that is no log is refused in a sentence.
	nonsense := filepath.Join(t.TempDir(), "holiday.csv")
	if err := os.WriteFile(nonsense, []byte("not a log\x00\x01"), 0o600); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.SetUploadFiles("#files", []string{nonsense}))
	b.until("the refusal", `document.querySelector("p.trouble")`)
	if got := b.js(`document.querySelector("p.trouble").textContent`); !strings.Contains(got, "holiday.csv") {
		t.Errorf("the refusal says %q", got)
	}
	b.picture("refused")

	// A log dropped on the page leads to its answers.
	b.open("/")
	drop(b, last)
	b.until("the pass", `location.pathname.startsWith("/passes/") && document.querySelector("footer")`)
	name := strings.TrimPrefix(b.js(`location.pathname`), "/passes/")
	if got := b.js(`[...document.querySelectorAll("main h2")].slice(0, 5).map(h => h.textContent).join(", ")`); got != "Fit to go again?, What happened, Where the speed went, Next pass, What is used up" {
		t.Errorf("the questions are %s", got)
	}
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	b.both("pass", "/passes/"+name)
	b.do(chromedp.Click("[data-traces] > summary"))
	b.until("the traces", `document.querySelectorAll(".tracerow canvas").length > 5`)
	b.check("the traces")
	b.picture("traces")
	zoom(b)

	// The dark ground, on request.
	b.js(`document.querySelector("select[name=ground]").value = "dark"; document.querySelector("form.look").submit(); ""`)
	b.until("the dark ground", `document.documentElement.dataset.ground === "dark"`)
	b.check("the pass on the dark ground")
	b.picture("pass-dark")
	b.js(`document.querySelector("select[name=ground]").value = "light"; document.querySelector("form.look").submit(); ""`)
	b.until("the light ground", `document.documentElement.dataset.ground === "light"`)

	// Compare.
	b.open("/")
	b.js(`document.querySelectorAll(".passes input[type=checkbox]").forEach((e, i) => { e.checked = i === 0 || i === 3 }); document.querySelector(".passes").closest("form").submit(); ""`)
	b.until("the comparison", `location.pathname === "/compare" && document.querySelector("figure svg")`)
	b.both("compare", b.js(`location.pathname + location.search`))

	// Settle a channel.
	b.js(`fetch("/api/v1/passes/` + name + `").then(r => r.json()).then(p => { location.href = "/logs/" + p.sha256 + "/channels" }); ""`)
	b.until("the channels", `document.querySelector(".chan")`)
	at := b.js(`location.pathname`)
	b.js(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	b.js(`(() => { const f = [...document.querySelectorAll(".chan")].pop(); f.querySelector("[name=is]").value = "none"; f.closest("form").querySelector("[name=back]").click() })(); ""`)
	b.until("the work", `location.pathname.startsWith("/jobs/") || document.body.textContent.includes("settled: none")`)
	b.until("the channel settled", `location.pathname === "`+at+`" && document.body.textContent.includes("settled: none")`)
	b.both("channels", at)

	// Next pass, turn-round, card.
	b.open("/cars/Marl/next")
	b.until("the forecast", `document.querySelector(".facts dd")`)
	b.until("the quick look", `document.querySelector("form[data-set]").dataset.ready`)
	was := b.js(`document.querySelector("[data-line] b").textContent`)
	b.js(knob("input"))
	b.until("the forecast while dragging", `document.querySelector("[data-how]").textContent.startsWith("At a glance")`)
	guess := b.js(`document.querySelector("[data-line] b").textContent`)
	b.js(knob("change"))
	b.until("the full forecast", `document.querySelector("[data-how]").textContent.startsWith("2000 passes")`)
	full := b.js(`document.querySelector("[data-line] b").textContent`)
	var x, y float64
	fmt.Sscan(guess, &x)
	fmt.Sscan(full, &y)
	if was == full || math.Abs(x-y) > 0.15 { // 0.1 mph, and both are rounded to tenths
		t.Errorf("before %s mph, while dragging %s, let go %s", was, guess, full)
	}
	b.check("next pass")
	b.open("/cars/Marl/round")
	b.js(`document.querySelector("[name=done]").click(); ""`)
	b.until("the tick", `document.querySelector("[data-left]").textContent.startsWith("9 ")`)
	b.both("turn-round", "/cars/Marl/round")
	b.open("/cars/Marl/next")
	b.js(`document.querySelector("button[value=plan]").click(); ""`)
	b.until("the plan", `location.search.includes("id=") && document.querySelector(".plan")`)
	planned := b.js(`location.pathname + location.search`)
	b.do(phone)
	b.open(planned)
	b.until("the forecast drawn", `document.querySelector("[data-outlook] text") && !document.querySelector(".knob input[hidden]")`)
	b.check("next on the phone")
	b.picture("next-phone")
	b.do(laptop)
	b.open(planned)
	b.until("the forecast drawn", `document.querySelector("[data-outlook] text") && !document.querySelector(".knob input[hidden]")`)
	b.check("next on the laptop")
	b.picture("next")
	b.js(`document.querySelector("button[value=card]").click(); ""`)
	b.until("the card", `document.querySelector(".card") || location.search.includes("id=") && location.pathname + location.search !== `+fmt.Sprintf("%q", planned))
	if b.js(`String(!!document.querySelector(".card"))`) == "true" {
		b.both("card", b.js(`location.pathname`))
		if n := b.paper("card"); n != 1 {
			t.Errorf("the card prints on %d pages", n)
		}
	} else {
		t.Errorf("no card: %s", b.js(`document.querySelector(".mind")?.textContent || document.body.innerText`))
	}
	b.open("/passes/" + name)
	if n := b.paper("pass"); n < 1 || n > 6 {
		t.Errorf("the pass prints on %d pages", n)
	}
	b.both("cars", "/cars")
	b.both("car", "/cars/Marl")
	b.js(`(() => { const s = document.querySelector("[data-sheet] textarea"); s.value += "\nmas_kg = 3\n"; s.dispatchEvent(new Event("input")) })(); ""`)
	b.until("the check of the sheet", `document.querySelector("[data-checked] li")`)
	b.check("a wrong sheet")
	b.picture("car-wrong")
	keyboard(b)
	b.open("/cars/Marl/parts")
	b.js(`document.querySelector("form[data-sheet]").submit(); ""`)
	b.until("the parts counted", `document.querySelector("table.parts")`)
	b.both("parts", "/cars/Marl/parts")
	b.both("trends", "/cars/Marl/trends")
	b.both("record", "/record")
	b.both("strips", "/strips?kind=strip")
	b.both("backup", "/keep")
	b.both("compare-road-speed", "/compare?pass=marl-2033-06-11-1&pass="+name+"&by=road+speed")

	// Reload and restart: the same address, the same page.
	address := "/passes/" + name
	b.open(address)
	before := b.js(`document.querySelector("main").innerText`)
	front.Close()
	s.stop()
	s = serve(t, dir)
	front = httptest.NewServer(s)
	b.base = front.URL
	b.mu.Lock()
	asked := b.asked
	b.asked = nil
	b.mu.Unlock()
	b.open(address)
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	if after := b.js(`document.querySelector("main").innerText`); after != before {
		t.Errorf("after a restart the page differs: %s", firstDifference(before, after))
	}
	if len(asked) > 0 {
		t.Errorf("other machines were asked: %q", asked)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, g := range b.grumbles {
		// The refusal above is answered with its own code, which the console notes.
		if !strings.Contains(g, "422") && !strings.Contains(g, "404") {
			t.Errorf("the console: %s", g)
		}
	}
}

// knob moves the last gear's boost up by a little and says so by an event.
func knob(event string) string {
	return `(() => { const s = [...document.querySelectorAll("input[data-for=boost]")].pop(); s.value = Number(s.max) - 3 * Number(s.step); s.dispatchEvent(new Event("` + event + `", { bubbles: true })) })(); ""`
}

func firstDifference(a, b string) string {
	x, y := strings.Split(a, "\n"), strings.Split(b, "\n")
	for i := range min(len(x), len(y)) {
		if x[i] != y[i] {
			return fmt.Sprintf("line %d: %q, then %q", i+1, x[i], y[i])
		}
	}
	return fmt.Sprintf("%d lines, then %d", len(x), len(y))
}

// drop drops a file on the page as a hand would.
func drop(b *reader, path string) {
	b.t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		b.t.Fatal(err)
	}
	text, err := json.Marshal(string(data))
	if err != nil {
		b.t.Fatal(err)
	}
	b.js(`(() => { const d = new DataTransfer(); d.items.add(new File([` + string(text) + `], ` + fmt.Sprintf("%q", filepath.Base(path)) + `));
	  for (const kind of ["dragenter", "dragover", "drop"]) document.body.dispatchEvent(new DragEvent(kind, {dataTransfer: d, bubbles: true, cancelable: true})) })(); ""`)
}

// zoom looks closer with the keyboard and expects finer samples.
func zoom(b *reader) {
	b.t.Helper()
	b.js(`document.querySelector(".u-over").focus(); window.before = performance.getEntriesByType("resource").length; ""`)
	b.press("+")
	b.until("the closer look", `performance.getEntriesByType("resource").slice(window.before).some(e => e.name.includes("from="))`)
}

// keyboard goes from the top of the day to a pass with keys only.
func keyboard(b *reader) {
	b.t.Helper()
	b.open("/")
	for range 40 {
		b.press(kb.Tab)
		if b.js(`String(document.activeElement.matches(".passes a.go"))`) == "true" {
			break
		}
	}
	if got := b.js(`getComputedStyle(document.activeElement).outlineStyle`); got == "none" {
		b.t.Error("where the keyboard is, cannot be seen")
	}
	b.press(kb.Enter)
	b.until("the pass by keyboard", `location.pathname.startsWith("/passes/")`)
	b.press(kb.Tab) // the skip link
	b.press(kb.Enter)
	for range 12 {
		b.press(kb.Tab)
		if b.js(`document.activeElement.tagName`) == "SUMMARY" {
			break
		}
	}
	b.js(`window.was = document.activeElement.parentElement.open; ""`)
	b.press(kb.Enter)
	b.until("the evidence by keyboard", `document.activeElement.parentElement.open !== window.was`)
}

// paper prints the page and counts the sheets.
func (b *reader) paper(name string) int {
	b.t.Helper()
	pdf, err := chromedp.Run(b.ctx, func(ctx context.Context, s *chromedp.Target) ([]byte, error) {
		background, size := true, true
		r, err := cdp.Call(ctx, s, cdpage.PrintToPDF, cdpage.PrintToPDFParams{PrintBackground: &background, PreferCSSPageSize: &size})
		return r.Data, err
	})
	if err != nil {
		b.t.Fatal(err)
	}
	if dir := os.Getenv("TRAPLIGHT_PICTURES"); dir != "" {
		if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o644); err != nil {
			b.t.Error(err)
		}
	}
	return strings.Count(string(pdf), "/Type /Page\n") + strings.Count(string(pdf), "/Type /Page ")
}
