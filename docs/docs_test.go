package docs

import (
	"strings"
	"testing"
)

// TestTopics holds that every page has a heading, and that no page links to one that is not there.
func TestTopics(t *testing.T) {
	names := map[string]bool{}
	for _, p := range Topics() {
		names[p.Name] = true
		if p.Title == "" || strings.ContainsAny(p.Title, "#`\n") {
			t.Errorf("%s: title %q", p.Name, p.Title)
		}
	}
	if !names["car-sheet"] || !names["notes"] {
		t.Fatalf("pages %v", names)
	}
	for name := range names {
		text, err := Page(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range link.FindAllStringSubmatch(text, -1) {
			if to, ok := strings.CutSuffix(strings.SplitN(m[2], "#", 2)[0], ".md"); ok && !strings.Contains(to, "/") && !names[to] {
				t.Errorf("%s links to %s, which is not there", name, m[2])
			}
		}
	}
	if _, err := Page("nothing"); err == nil {
		t.Error("a page that is not there was given")
	}
}

func TestPlain(t *testing.T) {
	got := Plain("# Head\n\nOne sentence\nover [two](life.md#x) lines.\n- an item\n  that goes on\n- [another](../other/z.md)\n\n```\na  b\n\nc\n```\n| x | y |\n| 1 | 2 |\n")
	want := "# Head\n\nOne sentence over two (traplight help life) lines.\n- an item that goes on\n- another\n\n    a  b\n    \n    c\n| x | y |\n| 1 | 2 |\n"
	if got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}
