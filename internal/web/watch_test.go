package web_test

import (
	"bytes"
	"context"
	"net/http/httptest"
	"os"
	"path/filepath"
	"testing"

	cdbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/chromedp"
)

// TestWatchedInBrowser: a log copied into a watched folder shows on the day's page with its
// progress and leads to its answers, without a hand on the keyboard. Then a backup is saved,
// a pass removed, and the backup brought back.
func TestWatchedInBrowser(t *testing.T) {
	t.Parallel()
	_, logs := demoShop(t)
	s := serve(t, storeOf(t, 1))
	front := httptest.NewServer(s)
	defer front.Close()
	b := newReader(t, front.URL)
	b.do(laptop)
	folder := t.TempDir()
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() { ended <- s.Watch(ctx, []string{folder}) }()
	defer func() {
		stop()
		if err := <-ended; err != nil {
			t.Error(err)
		}
	}()

	b.open("/")
	b.js(`window.brought = []; new MutationObserver(() => { window.brought.push(document.querySelector("[data-brought]").textContent); sessionStorage.setItem("brought", JSON.stringify(window.brought)) })
	  .observe(document.querySelector("[data-brought]"), { childList: true, characterData: true, subtree: true }); ""`)
	data, err := os.ReadFile(logs[1])
	if err != nil {
		t.Fatal(err)
	}
	// A recorder writes a file bit by bit: half of one must not be taken.
	path := filepath.Join(folder, filepath.Base(logs[1]))
	if err := os.WriteFile(path, data[:len(data)/2], 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	f.Write(data[len(data)/2:])
	f.Close()
	b.until("the answers", `location.pathname.startsWith("/passes/") && document.querySelector("#q1")`)
	if said := b.js(`sessionStorage.getItem("brought") || ""`); !bytes.Contains([]byte(said), []byte("watched folder brought a log")) {
		t.Errorf("no progress was shown: %q", said)
	}
	second := b.js(`location.pathname`)

	// A file that is no log is told in place.
	b.open("/")
	b.js(`window.fresh = true; ""`)
	if err := os.WriteFile(filepath.Join(folder, "holiday.csv"), []byte("not a log\x00\x01"), 0o600); err != nil {
		t.Fatal(err)
	}
	b.until("the refusal", `document.querySelector("[data-brought]").textContent.includes("holiday.csv")`)
	b.check("a refused log of a watched folder")
	b.picture("watched-refused")

	// Backup and restore.
	b.open("/keep")
	into := t.TempDir()
	b.do(chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
		_, err := cdp.Call(ctx, s, cdbrowser.SetDownloadBehavior, cdbrowser.SetDownloadBehaviorParams{Behavior: "allow", DownloadPath: into, BrowserContextID: chromedp.FromContext(ctx).BrowserContextID})
		return err
	}))
	b.do(chromedp.Click(`form[action="/backup"] button`))
	var saved []string
	b.wait("the backup", func() bool { saved, _ = filepath.Glob(filepath.Join(into, "traplight-*.zip")); return len(saved) == 1 })
	b.open(second)
	// A page that still asks for its account when its pass goes is told that it is gone.
	b.until("the account by cause", `!document.querySelector("[data-wait]")`)
	// Only its own fold is opened: that of the traces would ask for them while the pass goes.
	b.js(`const gone = document.querySelector('form[action$="/remove"]'); gone.closest("details").open = true; gone.querySelector("button").click(); ""`)
	b.until("the day without it", `location.pathname === "/" && document.querySelectorAll(".passes tbody tr").length === 1`)
	b.open("/keep")
	b.do(chromedp.SetUploadFiles(`form[action="/restore"] input`, saved))
	b.do(chromedp.Click(`form[action="/restore"] button`))
	b.until("the backup in place", `document.body.textContent.includes("The backup is in place")`)
	b.check("after a restore")
	b.picture("restored")
	b.open("/")
	b.until("the pass again", `document.querySelectorAll(".passes tbody tr").length === 2`)
	b.quiet("422")
}
