package web_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdpage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// Sheets of paper, inches.
var a4, letter = [2]float64{8.27, 11.69}, [2]float64{8.5, 11}

// paper prints the page and counts the sheets.
func (b *reader) paper(name string, sheet [2]float64) int {
	b.t.Helper()
	pdf, err := chromedp.Run(b.ctx, func(ctx context.Context, s *chromedp.Target) ([]byte, error) {
		background, size := true, true
		r, err := cdp.Call(ctx, s, cdpage.PrintToPDF, cdpage.PrintToPDFParams{PrintBackground: &background, PreferCSSPageSize: &size, PaperWidth: sheet[0], PaperHeight: sheet[1]})
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

// printed holds that what answers on a page is on its paper too, and what only a screen can
// use is not.
func (b *reader) printed(path, there string, notThere ...string) {
	b.t.Helper()
	media := func(m string) chromedp.Action[chromedp.Void] {
		return chromedp.Func(func(ctx context.Context, s *chromedp.Target) error {
			_, err := cdp.Call(ctx, s, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: m})
			return err
		})
	}
	b.open(path)
	b.do(media("print"))
	defer b.do(media(""))
	seen := func(selector string) int {
		q, _ := json.Marshal(selector)
		n, err := strconv.Atoi(b.js(`String([...document.querySelectorAll(` + string(q) + `)].filter(e => e.getClientRects().length).length)`))
		if err != nil {
			b.t.Fatal(err)
		}
		return n
	}
	if seen(there) == 0 {
		b.t.Errorf("%s: %s is not on the paper", path, there)
	}
	for _, s := range notThere {
		if n := seen(s); n > 0 {
			b.t.Errorf("%s: %d of %s are on the paper", path, n, s)
		}
	}
}
