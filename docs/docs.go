// Package docs carries the pages of this folder in the program, for a laptop in the pits that has
// nothing but it.
package docs

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"strings"
)

//go:embed *.md
var pages embed.FS

// Topic is a page.
type Topic struct {
	Name  string // "car-sheet"
	Title string // its heading, without marks
}

// Topics are all pages, by name.
func Topics() []Topic {
	list, err := fs.Glob(pages, "*.md")
	if err != nil {
		panic(err) // the pattern is fixed
	}
	var out []Topic
	for _, file := range list {
		name := strings.TrimSuffix(path.Base(file), ".md")
		text, err := Page(name)
		if err != nil {
			panic(err) // it was listed
		}
		title, _, _ := strings.Cut(strings.TrimPrefix(text, "# "), "\n")
		out = append(out, Topic{name, strings.ReplaceAll(title, "`", "")})
	}
	return out
}

// Page is the text of a page, Markdown.
func Page(name string) (string, error) {
	text, err := pages.ReadFile(name + ".md")
	if err != nil {
		return "", fmt.Errorf("no page %q: %w", name, err)
	}
	return string(text), nil
}

var (
	link = regexp.MustCompile(`\[([^\]]+)\]\(([^)]+)\)`)
	item = regexp.MustCompile(`^ *(?:[-*]|\d+\.) `)
)

// Plain is a page for a terminal: paragraphs and items each on one line, as for package prose to
// break, tables and examples as they stand, links to other pages told by their names.
func Plain(text string) string {
	text = link.ReplaceAllStringFunc(text, func(s string) string {
		m := link.FindStringSubmatch(s)
		if page, ok := strings.CutSuffix(strings.SplitN(m[2], "#", 2)[0], ".md"); ok && !strings.Contains(page, "/") {
			return m[1] + " (traplight help " + page + ")"
		}
		return m[1]
	})
	var b strings.Builder
	code, open := false, false // within an example; within a paragraph
	for line := range strings.Lines(text) {
		line = strings.TrimRight(line, "\r\n")
		if strings.HasPrefix(line, "<!--") {
			continue
		}
		fence := strings.HasPrefix(line, "```")
		whole := code || fence || line == "" || strings.HasPrefix(line, "#") || strings.HasPrefix(line, "|") || strings.HasPrefix(line, "    ") && !open
		switch {
		case open && (whole || item.MatchString(line)):
			b.WriteString("\n")
			open = false
		case open:
			b.WriteString(" ")
			line = strings.TrimLeft(line, " ")
		}
		if fence {
			code = !code
			continue
		}
		if code {
			line = "    " + line
		}
		b.WriteString(line)
		if whole {
			b.WriteString("\n")
		} else {
			open = true
		}
	}
	if open {
		b.WriteString("\n")
	}
	return b.String()
}
