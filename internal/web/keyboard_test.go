package web_test

import (
	"context"
	"encoding/json"
	"net/http/httptest"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/dom"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// TestByKeyboard goes the whole way of a day with keys only: first start, files chosen, the
// report, a channel settled, a comparison, a setting moved, the plan, the card, print. At
// every stop it must be seen where the keyboard is, and the stops go down the page. The
// phone takes over what the laptop did, and writes down what a hand has set.
func TestByKeyboard(t *testing.T) {
	t.Parallel()
	kept := filepath.Join(t.TempDir(), "store")
	t.Run("laptop", func(t *testing.T) {
		s := serve(t, kept, lightly)
		byKeyboard(readerAt(t, s, laptop), "laptop", true)
		s.stop()
	})
	t.Run("phone", func(t *testing.T) {
		byKeyboard(readerAt(t, serve(t, copyOf(t, kept), lightly), phone), "phone", false)
	})
}

// readerAt is someone at a screen of this size.
func readerAt(t *testing.T, s *server, screen chromedp.Action[chromedp.Void]) *reader {
	front := httptest.NewServer(s)
	t.Cleanup(front.Close)
	b := newReader(t, front.URL)
	b.do(screen)
	return b
}

func byKeyboard(b *reader, screen string, fresh bool) {
	dir, logs := demoShop(b.t)
	b.open("/")
	b.tabTo("#files")
	if fresh {
		b.choose(filepath.Join(dir, "passes.toml"), filepath.Join(dir, "car_marl.toml"), logs[0])
		b.until("the day", `location.pathname === "/" && document.querySelectorAll(".passes tbody tr").length === 1 || location.pathname.startsWith("/passes/")`)
		b.open("/")
		b.tabTo("#files")
	}
	b.choose(logs[1]) // once more does no harm
	b.until("the answers", `location.pathname.startsWith("/passes/")`)
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	b.picture("keyboard-pass-" + screen)

	// A channel that nobody knows.
	if fresh {
		b.tabTo(`a[href$="/channels"]`)
		b.press(kb.Enter)
		b.until("the channels", `document.querySelector(".chan [name=is]")`)
		b.tabTo(".chan [name=is]")
		b.press("none")
		b.tabTo("button.main")
		b.press(kb.Enter)
		b.until("the channel settled", `location.pathname.endsWith("/channels") && document.body.textContent.includes("settled: none")`)
		b.tabTo(`.row a[href^="/passes/"]`)
		b.press(kb.Enter)
	}

	// The evidence behind an answer, then a comparison.
	b.until("the pass again", `location.pathname.startsWith("/passes/")`)
	b.tabTo(`section[aria-labelledby=q2] summary`)
	b.press(kb.Enter)
	b.until("the evidence", `document.activeElement.parentElement.open`)
	b.press(kb.Escape)
	b.until("the evidence closed", `document.activeElement.matches("section[aria-labelledby=q2] summary") && !document.activeElement.parentElement.open`)
	b.tabTo(`a[href^="/compare"]:not(nav a)`)
	b.press(kb.Enter)
	b.until("the comparison", `location.pathname === "/compare" && document.querySelector("figure svg")`)

	// The next pass.
	b.tabTo(`nav a[href$="/next"]`)
	b.press(kb.Enter)
	b.until("the forecast", `document.querySelector("[data-how]")?.textContent.startsWith("2000 passes")`)
	b.tabTo("input[type=range][data-for=boost]")
	was := b.js(`document.activeElement.value`)
	b.press(kb.ArrowLeft)
	b.press(kb.ArrowLeft)
	if now := b.js(`document.activeElement.value`); now == was {
		b.t.Errorf("the arrow keys do not move the setting from %s", was)
	}
	b.until("the full forecast", `document.querySelector("[data-how]").textContent.startsWith("2000 passes")`)
	b.picture("keyboard-next-" + screen)
	if fresh {
		b.tabTo("button[value=plan]")
		b.press(kb.Enter)
		b.until("the plan", `location.search.includes("id=") && document.querySelector("button[value=accept]")`)
		b.tabTo("button[value=accept]")
	} else {
		b.tabTo("button[value=card]")
	}
	b.press(kb.Enter)
	b.until("the card", `document.querySelector(".card")`)
	b.js(`window.print = () => { window.printed = "yes" }; ""`)
	b.tabTo("[data-print]")
	b.press(kb.Enter)
	if b.js(`String(window.printed)`) != "yes" {
		b.t.Error("the card does not print by keyboard")
	}
	b.picture("keyboard-card-" + screen)
	if fresh {
		return
	}
	for _, at := range []string{"/passes/marl-2033-06-11-1/notes", "/cars/Marl", "/cars/Marl/round", "/cars/Marl/parts", "/strips?kind=strip", "/keep"} {
		b.open(at)
		b.tabThrough(at)
	}
}

// stop is where the keyboard is.
type stop struct {
	What                     string
	Is, Seen, Shown          bool
	Top, Bottom, Left, Right float64
	Tab                      int
}

const whereKeyboard = `(() => { const e = document.activeElement, r = e.getBoundingClientRect(), s = getComputedStyle(e);
  return JSON.stringify({ What: e.outerHTML.slice(0, 90), Is: e.matches(SELECTOR), Seen: r.bottom > 0 && r.top < innerHeight && r.right > 0 && r.left < innerWidth,
    Shown: s.outlineStyle !== "none" && parseFloat(s.outlineWidth) >= 2, Top: r.top + scrollY, Bottom: r.bottom + scrollY, Left: r.left, Right: r.right, Tab: e.tabIndex }) })()`

// tabThrough opens what can be opened and presses Tab from the page's top to its last button,
// whose look at light and dark every page ends with.
func (b *reader) tabThrough(where string) {
	b.t.Helper()
	b.js(`document.querySelectorAll("details").forEach(d => d.open = true); ""`)
	want, err := strconv.Atoi(b.js(`String([...document.querySelectorAll("main a[href], main button, main input:not([type=hidden]), main select, main textarea, main summary")].filter(e => !e.disabled && e.getClientRects().length).length)`))
	if err != nil {
		b.t.Fatal(err)
	}
	if n := b.tabTo(".look button"); n < want {
		b.t.Errorf("%s: %d stops of the keyboard for %d things to use", where, n, want)
	}
}

// tabTo presses Tab until the keyboard is at what is looked for, looks at every stop and
// counts them.
func (b *reader) tabTo(selector string) (stops int) {
	b.t.Helper()
	quoted, _ := json.Marshal(selector)
	ask := strings.ReplaceAll(whereKeyboard, "SELECTOR", string(quoted))
	var before stop
	for range 150 {
		b.press(kb.Tab)
		stops++
		var at stop
		if err := json.Unmarshal([]byte(b.js(ask)), &at); err != nil {
			b.t.Fatal(err)
		}
		if strings.HasPrefix(at.What, "<body") || strings.HasPrefix(at.What, "<main") {
			before = stop{} // past the end, and from the top again
			continue
		}
		if !at.Seen || !at.Shown {
			b.t.Errorf("the keyboard cannot be seen at %s: on the screen %v, outlined %v", at.What, at.Seen, at.Shown)
		}
		if at.Tab > 0 || before.What != "" && at.Bottom < before.Top-1 && !strings.HasPrefix(at.What, `<a class="skip"`) && at.Top > 60 {
			b.t.Errorf("the keyboard goes up the page, from %s to %s", before.What, at.What)
		}
		if at.Is {
			return stops
		}
		before = at
	}
	b.t.Fatalf("%s is not reached by the keyboard; last %s", selector, before.What)
	return stops
}

// choose opens the chooser of the file field in which the keyboard is, and takes files.
func (b *reader) choose(paths ...string) {
	b.t.Helper()
	yes := true
	b.do(chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
		if _, err := cdp.Call(ctx, s, cdpage.Enable, cdpage.EnableParams{}); err != nil {
			return err
		}
		_, err := cdp.Call(ctx, s, cdpage.SetInterceptFileChooserDialog, cdpage.SetInterceptFileChooserDialogParams{Enabled: yes})
		return err
	}))
	ctx, cancel := context.WithTimeout(b.ctx, 20*time.Second)
	defer cancel()
	opened, err := chromedp.Run(ctx, chromedp.WaitEvent(cdpage.FileChooserOpened, func(cdpage.EventFileChooserOpened) bool { return true }, chromedp.KeyEvent(kb.Enter)))
	if err != nil {
		b.t.Fatalf("the chooser does not open by keyboard: %v", err)
	}
	b.do(chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
		_, err := cdp.Call(ctx, s, dom.SetFileInputFiles, dom.SetFileInputFilesParams{Files: paths, BackendNodeID: opened.BackendNodeID})
		return err
	}))
}
