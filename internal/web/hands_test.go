package web_test

import (
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
)

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
