// Command traplight tells from a sensor log of a standing-start pass what the
// car did and how sure that is.
package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"regexp"
	"strings"
	"time"

	"github.com/alecthomas/kong"
	"golang.org/x/term"

	"traplight/internal/store"
	"traplight/internal/web"
)

// commands is the whole command line: one field per command, each in its own
// file. To add a command, add a field here and a file with its struct, a Run
// method and, for --help, a Help method.
type commands struct {
	Report   reportCmd   `cmd:"" help:"What happened in the passes of a log, and how sure that is."`
	Compare  compareCmd  `cmd:"" help:"Where one pass gained and lost against another, along the strip."`
	Channels channelsCmd `cmd:"" help:"Which channel of a log is which quantity, and how sure that is."`
	Car      carCmd      `cmd:"" help:"Print a car sheet to fill in, or check one."`
	Air      airCmd      `cmd:"" help:"Density, density altitude and correction of the air."`
	Health   healthCmd   `cmd:"" help:"Whether the car is fit to go again, against its own earlier passes."`
	Forecast forecastCmd `cmd:"" help:"What the next pass will bring, with an honest interval."`
	Plan     planCmd     `cmd:"" help:"Settings for the next pass, within the limits; the pass card."`

	Setup setupCmd `cmd:"" help:"With which settings passes were run, and what differs between them."`
	Parts partsCmd `cmd:"" help:"What each part has endured, by its serial number, and when it is due."`
	Size  sizeCmd  `cmd:"" help:"Before the season: what a target speed needs of engine, turbo, fuel, gears and runway."`

	Add     addCmd     `cmd:"" help:"Keep logs, car sheets and notes in the store."`
	Passes  passesCmd  `cmd:"" help:"List the passes in the store."`
	Remove  removeCmd  `cmd:"" help:"Put passes into the trash, or take them out again."`
	Export  exportCmd  `cmd:"" help:"Write a log's columns as Parquet or CSV."`
	Backup  backupCmd  `cmd:"" help:"Write the whole store into one file."`
	Restore restoreCmd `cmd:"" help:"Make a store from a backup."`
	Verify  verifyCmd  `cmd:"" help:"Check that everything in the store is as it was written."`

	Serve serveCmd `cmd:"" help:"Open the page in the pits: drop a log, see the answers, set the next pass."`

	Demo demoCmd `cmd:"" help:"Show the report on an invented shop's passes."`

	Help       helpCmd       `cmd:"" help:"Tell about a command, or print a page of the documentation."`
	Version    versionCmd    `cmd:"" help:"Print the version."`
	Completion completionCmd `cmd:"" help:"Print a completion script for a shell."`
}

// world is what a command may touch: its outputs, the clock, the environment.
type world struct {
	out, err io.Writer
	now      func() time.Time
	getenv   func(string) string
	// outTerminal and errTerminal say that a person is looking.
	outTerminal, errTerminal bool
	width                    int // columns of the terminal; 0 unknown
	// effort is how much is worked out about a pass to come: the whole, but in tests of what is
	// done with it.
	effort web.Effort
	model  *kong.Application
}

// The exit codes, by convention.
const (
	exitOK      = 0
	exitProblem = 1 // the input has a problem, or there is no result
	exitUsage   = 2 // the command was not understood
	exitStopped = 130
)

const exitCodes = `

Exit codes: 0 done; 1 the input has a problem or there is no result; 2 the command was not understood; 130 stopped by Ctrl-C.`

// usageError is a mistake in the command itself.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func main() { start(web.Effort{}) }

// start is the process.
func start(effort web.Effort) {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	context.AfterFunc(ctx, stop) // a second Ctrl-C does not wait
	w := &world{
		out: os.Stdout, err: os.Stderr, now: time.Now, getenv: os.Getenv,
		outTerminal: term.IsTerminal(int(os.Stdout.Fd())),
		errTerminal: term.IsTerminal(int(os.Stderr.Fd())),
		effort:      effort,
	}
	if w.outTerminal {
		if cols, _, err := term.GetSize(int(os.Stdout.Fd())); err == nil {
			w.width = cols
		}
	}
	code := run(ctx, os.Args[1:], w)
	stop()
	os.Exit(code)
}

// run is main without the process: it gives the exit code.
func run(ctx context.Context, args []string, w *world) (code int) {
	var c commands
	type exit int
	defer func() {
		if e := recover(); e != nil {
			n, ok := e.(exit)
			if !ok {
				panic(e)
			}
			code = int(n)
		}
	}()
	parser, err := kong.New(&c,
		kong.Name("traplight"),
		kong.Description("What a car did on a standing-start pass, from its sensor log: speed and time at every mark, gears, shifts, torque, tyre slip, boost, each with how sure it is. The examples in each command's help are for the folder that 'traplight demo --save shop' writes: try them there."),
		kong.Writers(w.out, w.err),
		kong.Exit(func(n int) { panic(exit(n)) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true, NoExpandSubcommands: true, WrapUpperBound: 100}),
		kong.Vars{"exit": exitCodes},
		kong.NamedMapper("path", kong.MapperFunc(paths)),
		kong.BindTo(ctx, (*context.Context)(nil)),
		kong.Bind(w),
	)
	if err != nil {
		return w.complain(err)
	}
	w.model = parser.Model
	if len(args) == 0 {
		args = []string{"--help"}
	}
	if len(args) == 2 && args[0] == "help" && !aTopic(args[1]) && isCommand(parser.Model, args[1]) {
		args = []string{args[1], "--help"}
	}
	k, err := parser.Parse(args)
	switch {
	case unwritten(err):
		return w.complain(err)
	case err != nil:
		return w.complain(w.about(args, usageError{inWords(err)}))
	}
	return w.complain(w.about(args, k.Run()))
}

// unwritten says that what failed was the printing of a help, not the command.
func unwritten(err error) bool {
	var p *fs.PathError
	return errors.As(err, &p) && p.Op == "write"
}

// about adds to a mistake in the command where to read on: the help of the command that was
// given, else the list of them.
func (w *world) about(args []string, err error) error {
	if !errors.As(err, new(usageError)) {
		return err
	}
	for _, n := range w.model.Children {
		if n.Name == args[0] {
			return &store.Hinted{Err: err, Hint: fmt.Sprintf("`traplight %s --help` tells how it is used", n.Name)}
		}
	}
	return &store.Hinted{Err: err, Hint: "`traplight --help` lists the commands"}
}

// inWords says plainly what a command lacks: the parser tells what it "expected".
func inWords(err error) error {
	if m := lacking.FindStringSubmatch(err.Error()); m != nil {
		what := m[1]
		if what == "parts" {
			what = "parts file"
		}
		return fmt.Errorf("no %s is named", what)
	}
	if m := oneOf.FindStringSubmatch(err.Error()); m != nil {
		words := strings.TrimSuffix(strings.ReplaceAll(strings.ReplaceAll(m[2], `"`, ""), ",", ", "), ", ")
		return fmt.Errorf("%s is one of %s, not %s", m[1], words, m[3])
	}
	if m := noValue.FindStringSubmatch(err.Error()); m != nil {
		return fmt.Errorf("%s needs a value", m[1])
	}
	if m := noNumber.FindStringSubmatch(err.Error()); m != nil {
		whole := ""
		if m[2] != "float" {
			whole = " whole"
		}
		return fmt.Errorf("%s: %q is not a%s number", m[1], m[3], whole)
	}
	if m := noFlag.FindStringSubmatch(err.Error()); m != nil {
		return fmt.Errorf("%s is needed, such as %s=%s", m[1], m[1], m[2])
	}
	return err
}

var (
	noValue  = regexp.MustCompile(`^(--\S+): (?:missing value|expected \S+ value but got "EOL")`)
	noNumber = regexp.MustCompile(`^(--\S+): expected (?:a |an )?(?:valid 64 bit )?(float|u?int)\b.* but got "(.*?)"`)
	noFlag   = regexp.MustCompile(`^missing flags: (--[^=, ]+)=([^,]+)`)
	lacking  = regexp.MustCompile(`^expected "<([^>]*)>.*"$`)
	oneOf    = regexp.MustCompile(`^(\S+) must be one of (\S+) but got "(.*)"$`)
)

// complain prints an error, if any, and gives the exit code for it: the one
// place where errors become codes.
func (w *world) complain(err error) int {
	if err == nil {
		return exitOK
	}
	if errors.Is(err, context.Canceled) {
		fmt.Fprintln(w.err, "traplight: stopped")
		return exitStopped
	}
	lines := strings.Split(err.Error(), "\n")
	fmt.Fprintf(w.err, "traplight: %s\n", lines[0])
	for _, l := range lines[1:] {
		fmt.Fprintf(w.err, "  %s\n", l)
	}
	if h := new(store.Hinted); errors.As(err, &h) {
		fmt.Fprintf(w.err, "  %s\n", h.Hint)
	}
	if errors.As(err, new(usageError)) {
		return exitUsage
	}
	return exitProblem
}

// colour says whether bold and the like may be used on standard output.
func (w *world) colour() bool {
	return w.outTerminal && w.getenv("NO_COLOR") == "" && w.getenv("TERM") != "dumb"
}

// progress gives a function that shows what is being read, on a terminal only.
func (w *world) progress() func(what string, done, of int) {
	if !w.errTerminal {
		return nil
	}
	return func(what string, done, of int) {
		if of > 1 {
			fmt.Fprintf(w.err, "\r\x1b[K%d of %d: %s", done+1, of, what)
		} else {
			fmt.Fprintf(w.err, "\r\x1b[K%s", what)
		}
	}
}

// progressDone clears the line that progress wrote.
func (w *world) progressDone() {
	if w.errTerminal {
		fmt.Fprint(w.err, "\r\x1b[K")
	}
}
