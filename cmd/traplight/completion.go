package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

func (*completionCmd) Help() string {
	return `Prints a script that makes the shell complete commands, options and file names.

Examples:
  traplight completion bash > ~/.local/share/bash-completion/completions/traplight
  traplight completion zsh > ~/.zfunc/_traplight
  traplight completion fish > ~/.config/fish/completions/traplight.fish` + exitCodes
}

func (c *completionCmd) Run(w *world) error {
	switch c.Shell {
	case "bash":
		return completeBash(w.out, w.model)
	case "zsh":
		// zsh runs bash's completions by its own adapter.
		if _, err := io.WriteString(w.out, "#compdef traplight\nautoload -Uz bashcompinit && bashcompinit\n"); err != nil {
			return err
		}
		return completeBash(w.out, w.model)
	default:
		return completeFish(w.out, w.model)
	}
}

// visible are the commands that help shows.
func visible(n *kong.Node) []*kong.Node {
	var out []*kong.Node
	for _, c := range n.Children {
		if !c.Hidden && c.Type == kong.CommandNode {
			out = append(out, c)
		}
	}
	return out
}

func flagNames(n *kong.Node) []string {
	var out []string
	for _, group := range n.AllFlags(true) {
		for _, f := range group {
			out = append(out, "--"+f.Name)
		}
	}
	return out
}

func completeBash(w io.Writer, app *kong.Application) error {
	var names []string
	var cases strings.Builder
	for _, c := range visible(app.Node) {
		names = append(names, c.Name)
		words := flagNames(c)
		for _, sub := range visible(c) {
			words = append(words, sub.Name)
		}
		fmt.Fprintf(&cases, "    %s) words=%q ;;\n", c.Name, strings.Join(words, " "))
	}
	_, err := fmt.Fprintf(w, `_traplight() {
  local cur=${COMP_WORDS[COMP_CWORD]} words=
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W %q -- "$cur"))
    return
  fi
  case "${COMP_WORDS[1]}" in
%s  esac
  case "$cur" in
    -*) COMPREPLY=($(compgen -W "$words" -- "$cur")) ;;
    *) COMPREPLY=($(compgen -f -- "$cur")) ;;
  esac
}
complete -o filenames -F _traplight traplight
`, strings.Join(names, " "), cases.String())
	return err
}

func completeFish(w io.Writer, app *kong.Application) error {
	for _, c := range visible(app.Node) {
		if _, err := fmt.Fprintf(w, "complete -c traplight -n __fish_use_subcommand -a %s -d %q\n", c.Name, c.Help); err != nil {
			return err
		}
		for _, group := range c.AllFlags(true) {
			for _, f := range group {
				if _, err := fmt.Fprintf(w, "complete -c traplight -n '__fish_seen_subcommand_from %s' -l %s -d %q\n", c.Name, f.Name, f.Help); err != nil {
					return err
				}
			}
		}
	}
	return nil
}
