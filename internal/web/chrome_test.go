package web_test

import (
	"context"
	"os"
	"os/exec"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// chrome is the one browser of all tests, headless.
var chrome oneBrowser

type oneBrowser struct {
	once sync.Once
	ctx  context.Context
	stop []func()
	why  string // there is none
}

func (o *oneBrowser) start() {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			o.why = o.open(p)
			return
		}
	}
	o.why = "no browser on this machine"
}

func (o *oneBrowser) open(exe string) (trouble string) {
	dir, err := os.MkdirTemp("", "traplight-browser-")
	if err != nil {
		return err.Error()
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(exe), chromedp.UserDataDir(dir),
		chromedp.Flag("headless", true), chromedp.Flag("no-sandbox", true), chromedp.Flag("disable-gpu", true), chromedp.Flag("disable-quic", true),
		chromedp.Flag("no-first-run", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	ctx, cancel := chromedp.NewContext(alloc)
	o.ctx, o.stop = ctx, []func(){cancel, stop, func() { os.RemoveAll(dir) }}
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		return "the browser does not start: " + err.Error()
	}
	return ""
}

func (o *oneBrowser) end() {
	for _, f := range o.stop {
		f()
	}
}

// browser is a window of its own in the one browser, which shares no cookie with the others;
// without a browser the test is skipped.
func browser(t *testing.T) context.Context {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser takes seconds")
	}
	chrome.once.Do(chrome.start)
	if chrome.why != "" {
		t.Skip(chrome.why)
	}
	ctx, cancel := chromedp.NewContext(chrome.ctx, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	ctx, end := context.WithTimeout(ctx, 12*time.Minute)
	t.Cleanup(end)
	if err := chromedp.Do(ctx, chromedp.Navigate("about:blank")); err != nil {
		t.Fatalf("the browser opens no window: %v", err)
	}
	return ctx
}
