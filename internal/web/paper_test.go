package web_test

import (
	"context"
	"os"
	"path/filepath"
	"strings"

	"github.com/chromedp/cdproto/cdp"
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
