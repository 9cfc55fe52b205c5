package main

import (
	"fmt"
	"io"
	"strings"

	"github.com/alecthomas/kong"

	"traplight/docs"
)

type completionCmd struct {
	Shell string `arg:"" enum:"bash,zsh,fish" help:"bash, zsh or fish."`
}

func (*completionCmd) Help() string {
	return `Prints a script that makes the shell complete commands, options, their values and file names. For zsh the folder must be among those of fpath before compinit is called in ~/.zshrc: fpath=(~/.zfunc $fpath).

Examples:
  traplight completion bash > ~/.local/share/bash-completion/completions/traplight
  traplight completion zsh > ~/.zfunc/_traplight
  traplight completion fish > ~/.config/fish/completions/traplight.fish` + exitCodes
}

func (c *completionCmd) Run(w *world) error {
	var text string
	switch all := completables(w.model); c.Shell {
	case "bash":
		text = completeBash(all)
	case "zsh":
		text = completeZsh(all)
	default:
		text = completeFish(all)
	}
	_, err := io.WriteString(w.out, text)
	return err
}

// completable is a command that help shows, with what may follow it.
type completable struct {
	name, help string
	flags      []completableFlag
	words      []string // values of its argument, where only some are taken
}

type completableFlag struct {
	name, help string
	valued     bool
	values     []string // where only some are taken
}

func completables(app *kong.Application) (all []completable) {
	for _, n := range app.Children {
		if n.Hidden || n.Type != kong.CommandNode {
			continue
		}
		c := completable{name: n.Name, help: n.Help}
		for _, group := range n.AllFlags(true) {
			for _, f := range group {
				c.flags = append(c.flags, completableFlag{f.Name, f.Help, !f.IsBool(), choices(f.Enum)})
			}
		}
		for _, p := range n.Positional {
			c.words = append(c.words, choices(p.Enum)...)
		}
		if n.Name == "help" {
			for _, t := range docs.Topics() {
				c.words = append(c.words, t.Name)
			}
		}
		all = append(all, c)
	}
	return all
}

// choices are the values of an enumeration, "" among them left out.
func choices(enum string) []string {
	return strings.FieldsFunc(enum, func(r rune) bool { return r == ',' })
}

func names(all []completable) string {
	var out []string
	for _, c := range all {
		out = append(out, c.name)
	}
	return strings.Join(out, " ")
}

// cases are the branches of a shell's case over command and option before the word: what may
// stand there where only some words may, and the options of each command.
func cases(all []completable) string {
	var values, options strings.Builder
	for _, c := range all {
		var flags []string
		for _, f := range c.flags {
			flags = append(flags, "--"+f.name)
			if len(f.values) > 0 {
				fmt.Fprintf(&values, "    %q) words=%q; only=1 ;;\n", c.name+" --"+f.name, strings.Join(f.values, " "))
			}
		}
		if len(c.words) > 0 {
			fmt.Fprintf(&values, "    %q) words=%q; only=1 ;;\n", c.name+" "+c.name, strings.Join(c.words, " "))
		}
		fmt.Fprintf(&options, "    %q*) words=%q ;;\n", c.name+" ", strings.Join(flags, " "))
	}
	return values.String() + options.String()
}

func completeBash(all []completable) string {
	return fmt.Sprintf(`_traplight() {
  local cur=${COMP_WORDS[COMP_CWORD]} words= only=
  if [ "$COMP_CWORD" -eq 1 ]; then
    COMPREPLY=($(compgen -W %q -- "$cur"))
    return
  fi
  case "${COMP_WORDS[1]} ${COMP_WORDS[COMP_CWORD-1]}" in
%s  esac
  case "$only$cur" in
    1*|-*) COMPREPLY=($(compgen -W "$words" -- "$cur")) ;;
    *) COMPREPLY=($(compgen -f -- "$cur")) ;;
  esac
}
complete -o filenames -F _traplight traplight
`, names(all), cases(all))
}

func completeZsh(all []completable) string {
	return fmt.Sprintf(`#compdef traplight
_traplight() {
  local options= only= before="${words[2]} ${words[CURRENT-1]}"
  if (( CURRENT == 2 )); then
    compadd -- %s
    return
  fi
  case "$before" in
%s  esac
  if [[ -n "$only" || "$PREFIX" == -* ]]; then
    compadd -- ${=options}
  else
    _files
  fi
}
if [[ "$funcstack[1]" == _traplight ]]; then
  _traplight "$@" # as a file of fpath, called for the first time
else
  compdef _traplight traplight
fi
`, names(all), strings.ReplaceAll(cases(all), ") words=", ") options="))
}

func completeFish(all []completable) string {
	var b strings.Builder
	b.WriteString("complete -c traplight -n __fish_use_subcommand -f\n")
	for _, c := range all {
		fmt.Fprintf(&b, "complete -c traplight -n __fish_use_subcommand -a %s -d %q\n", c.name, c.help)
		at := fmt.Sprintf("complete -c traplight -n '__fish_seen_subcommand_from %s'", c.name)
		for _, f := range c.flags {
			fmt.Fprintf(&b, "%s -l %s", at, f.name)
			switch {
			case len(f.values) > 0:
				fmt.Fprintf(&b, " -x -a %q", strings.Join(f.values, " "))
			case f.valued:
				b.WriteString(" -r")
			}
			fmt.Fprintf(&b, " -d %q\n", f.help)
		}
		if len(c.words) > 0 {
			fmt.Fprintf(&b, "%s -f -a %q\n", at, strings.Join(c.words, " "))
		}
	}
	return b.String()
}
