package web_test

import (
	"bytes"
	"compress/gzip"
	"regexp"
	"strings"
	"testing"
)

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
		// Nothing moves by itself, so that who wants less motion needs no switch.
		if text := w.Body.String(); strings.HasSuffix(name, ".css") && regexp.MustCompile(`@keyframes|animation\s*:|transition\s*:|scroll-behavior`).MatchString(text) {
			t.Errorf("%s moves something", name)
		}
	}
	if total > 250_000 || total < 20_000 {
		t.Errorf("script and style are %d bytes packed, want under 250 kB", total)
	}
	if strings.Contains(page, "<style") || strings.Contains(page, " style=") || strings.Contains(page, " onclick") {
		t.Error("the page holds style or script of its own")
	}
}
