package main

import (
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"golang.org/x/sys/unix"
)

// terminal opens a pseudo-terminal: the side of the person, and that of the program.
func terminal(t *testing.T) (person, program *os.File) {
	t.Helper()
	person, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	t.Cleanup(func() { person.Close() })
	if err := unix.IoctlSetPointerInt(int(person.Fd()), unix.TIOCSPTLCK, 0); err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	n, err := unix.IoctlGetInt(int(person.Fd()), unix.TIOCGPTN)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	program, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", n), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Skipf("no pseudo-terminal here: %v", err)
	}
	return person, program
}

// The key itself, at a terminal: progress is shown, the process ends with 130 and leaves
// nothing.
func TestCtrlC(t *testing.T) {
	dir := demoDay(t)
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	own := filepath.Join(t.TempDir(), "traplight")
	if err := os.Symlink(self, own); err != nil { // by this name the test binary is the program
		t.Fatal(err)
	}
	person, program := terminal(t)
	cmd := exec.CommandContext(t.Context(), own, "plan", "--car", "car_marl.toml", "--notes", "passes.toml", "--history", "m01_marl.csv", "--card", "card.pdf")
	cmd.Dir, cmd.Stdin, cmd.Stdout, cmd.Stderr = dir, program, program, program
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	program.Close()
	pressed := false
	shown := &stopper{at: "1 of 6: trying settings", stop: func() {
		if !pressed {
			pressed = true
			_, _ = person.Write([]byte{3}) // what the key sends; the terminal makes it a signal
		}
	}}
	_, _ = io.Copy(shown, person) // ends in an error when the program has left
	err = cmd.Wait()
	if code := cmd.ProcessState.ExitCode(); code != exitStopped || !strings.Contains(shown.String(), "traplight: stopped") {
		t.Errorf("exit code %d (%v), shown %q", code, err, shown.String())
	}
	if _, err := os.Stat(filepath.Join(dir, "card.pdf")); err == nil {
		t.Error("a card was written all the same")
	}
}
