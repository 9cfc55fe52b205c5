package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/alecthomas/kong"

	"traplight/docs"
	"traplight/internal/prose"
)

type helpCmd struct {
	Topic string `arg:"" optional:"" help:"A command, or a topic; without it the topics are listed."`
}

func (*helpCmd) Help() string {
	return `Tells about a command as --help does, or prints a page of the documentation that the program carries: the keys of car sheet, notes and parts, how each number is obtained, and its limits.

Examples:
  traplight help
  traplight help notes
  traplight help plan` + exitCodes
}

// inUse are the topics that one needs to use the program; the others tell how it works.
var inUse = []string{"car-sheet", "notes", "life", "sizing", "log-files", "channels", "store", "web", "units", "verdict", "report-json"}

func (c *helpCmd) Run(w *world) error {
	if c.Topic == "" {
		fmt.Fprint(w.out, "The commands: traplight --help\n\nWhat you write, and where things are:\n")
		list := func(use bool) {
			for _, t := range docs.Topics() {
				if slices.Contains(inUse, t.Name) == use {
					fmt.Fprintf(w.out, "  %-13s %s\n", t.Name, t.Title)
				}
			}
		}
		list(true)
		fmt.Fprintln(w.out, "\nHow the numbers are obtained, and how far they reach:")
		list(false)
		return nil
	}
	topic := topicOf(c.Topic)
	text, err := docs.Page(topic)
	if err != nil {
		return usageError{errors.New("no command or topic " + c.Topic + "; `traplight help` lists the topics, `traplight --help` the commands")}
	}
	if isCommand(w.model, topic) {
		fmt.Fprintf(w.out, "How the command is used: traplight %s --help\n\n", topic)
	}
	_, err = io.WriteString(w.out, prose.Fold(docs.Plain(text), w.width))
	return err
}

// topicOf is the page that a word means: "docs/notes.md" as well as "notes".
func topicOf(word string) string {
	return strings.TrimSuffix(strings.TrimPrefix(strings.ToLower(word), "docs/"), ".md")
}

func aTopic(word string) bool {
	_, err := docs.Page(topicOf(word))
	return err == nil
}

func isCommand(app *kong.Application, word string) bool {
	return slices.ContainsFunc(app.Children, func(n *kong.Node) bool { return n.Name == word && !n.Hidden })
}
