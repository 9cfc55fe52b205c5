package main

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"

	"traplight/internal/web"
)

type serveCmd struct {
	Files     []string `arg:"" optional:"" name:"file" help:"Logs, car sheets and notes to take in first." type:"path"`
	Port      int      `default:"0" help:"Port on this machine; 0 takes any that is free."`
	Listen    string   `placeholder:"ADDRESS" help:"Serve the pit's network too, at this address such as 192.168.0.10:8080; visitors need the code that is printed."`
	Guests    string   `enum:"read,tick,write" default:"read" help:"What visitors from the network may do: read, tick the turn-round list, or write."`
	Watch     []string `placeholder:"FOLDER" help:"Take in the logs that appear in this folder or drive; may be repeated." type:"path"`
	NoBrowser bool     `help:"Do not open the browser."`
	Demo      bool     `help:"Show an invented shop's day, in a data folder of its own that is gone afterwards."`
	Seed      uint64   `hidden:"" default:"1"`
	Units     string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units: us, metric, si, or auto for those of each car (${env})."`
	Verbose   bool     `short:"v" help:"Tell what goes wrong in the background."`
	storeFlags
}

func (*serveCmd) Help() string {
	return `Opens the page in the browser: drop a log, see the verdict, see where the speed went, set the next pass, print the card. Only this machine is served, and nothing is asked of any other.

With --listen, phones on the pit's network can read along with a code; they cannot change anything unless --guests says so. The connection is not encrypted: whoever is on that network can read it.

Examples:
  traplight serve
  traplight serve --demo
  traplight serve --watch card
  traplight serve car_marl.toml passes.toml m01_marl.csv
  traplight serve --listen 192.168.0.10:8080 --guests tick` + exitCodes
}

func (c *serveCmd) Run(ctx context.Context, w *world) error {
	log := slog.New(slog.DiscardHandler)
	if c.Verbose {
		log = slog.New(slog.NewTextHandler(w.err, nil))
	}
	for _, f := range c.Files {
		if err := there(f); err != nil {
			return err // before there is a store for nothing
		}
	}
	if c.Demo {
		dir, err := os.MkdirTemp("", "traplight-demo-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		c.Data = dir
	}
	shop, err := c.open(ctx, true)
	if err != nil {
		return err
	}
	defer shop.Close()
	l, code, err := c.listen()
	if err != nil {
		return err
	}
	defer l.Close()
	s, err := web.New(web.Options{Shop: shop, Program: programName(), Units: c.Units, Code: code, Guests: web.Rights(c.Guests), Now: w.now, Log: log, Effort: w.effort})
	if err != nil {
		return err
	}
	defer s.Close()
	at := ""
	switch {
	case c.Demo:
		at, err = s.Demo(c.Seed)
	case len(c.Files) > 0:
		at, err = s.FromFiles(c.Files)
	}
	if err != nil {
		return err
	}
	address := "http://" + local(l.Addr()) + at
	fmt.Fprintf(w.out, "traplight: the page is at %s\n", address)
	if code != "" {
		own, _ := net.InterfaceAddrs() // without them the address is shown as it was given
		fmt.Fprintf(w.out, "traplight: from the pit network: %s with the code %s; that network can read along, the connection is not encrypted\n", strings.Join(fromOutside(l.Addr(), own), " or "), code)
	}
	fmt.Fprintln(w.out, "traplight: Ctrl-C ends it; nothing is lost by that")
	if !c.NoBrowser {
		if err := openBrowser(address); err != nil {
			fmt.Fprintf(w.err, "traplight: the browser could not be opened (%v); open the address above\n", err)
		}
	}
	if len(c.Watch) > 0 {
		var ended sync.WaitGroup
		ended.Go(func() {
			if err := s.Watch(ctx, c.Watch); err != nil {
				fmt.Fprintf(w.err, "traplight: the folders are not watched any more: %v\n", err)
			}
		})
		defer ended.Wait()
	}
	return s.Serve(ctx, l)
}

// listen opens the address; a code comes with one that others can reach.
func (c *serveCmd) listen() (net.Listener, string, error) {
	if c.Listen == "" {
		if c.Port < 0 || c.Port > 65535 {
			return nil, "", usageError{fmt.Errorf("--port is a number up to 65535, not %d", c.Port)}
		}
		l, err := open(fmt.Sprintf("127.0.0.1:%d", c.Port))
		return l, "", err
	}
	if c.Port != 0 {
		return nil, "", usageError{errors.New("--listen states its own port; leave --port out")}
	}
	if _, _, err := net.SplitHostPort(c.Listen); err != nil {
		return nil, "", usageError{fmt.Errorf("--listen takes an address with a port, such as 192.168.0.10:8080, not %q", c.Listen)}
	}
	l, err := open(c.Listen)
	if err != nil {
		return nil, "", err
	}
	if a, err := netip.ParseAddrPort(l.Addr().String()); err == nil && a.Addr().Unmap().IsLoopback() {
		return l, "", nil
	}
	return l, web.NewCode(), nil
}

// open listens at an address, or says what is in the way.
func open(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if errors.Is(err, syscall.EADDRINUSE) {
		return nil, fmt.Errorf("%s is taken: does traplight serve there already? Without --port, or with another, a free one is found", address)
	}
	if err != nil {
		return nil, fmt.Errorf("%s cannot be served: %w", address, err)
	}
	return l, nil
}

// local is the address as this machine reaches it. One that listens everywhere is
// reached at the loopback, where no code is needed.
func local(a net.Addr) string {
	p, err := netip.ParseAddrPort(a.String())
	if err != nil || !p.Addr().IsUnspecified() {
		return a.String()
	}
	return fmt.Sprintf("127.0.0.1:%d", p.Port())
}

// fromOutside are the addresses to type on a phone. A server that listens everywhere is reached
// at each of the machine's own addresses.
func fromOutside(a net.Addr, own []net.Addr) (out []string) {
	p, err := netip.ParseAddrPort(a.String())
	if err == nil && p.Addr().IsUnspecified() {
		for _, o := range own {
			if n, err := netip.ParsePrefix(o.String()); err == nil && n.Addr().Unmap().Is4() && !n.Addr().IsLoopback() && !n.Addr().IsLinkLocalUnicast() {
				out = append(out, fmt.Sprintf("http://%s:%d", n.Addr().Unmap(), p.Port()))
			}
		}
	}
	if len(out) == 0 {
		out = append(out, "http://"+a.String())
	}
	return out
}

// openBrowser asks the system for its usual browser.
func openBrowser(address string) error {
	if !strings.HasPrefix(address, "http://") {
		return errors.New("not an address of the page")
	}
	var cmd *exec.Cmd
	switch runtime.GOOS {
	case "windows":
		cmd = exec.Command(filepath.Join(os.Getenv("SYSTEMROOT"), "System32", "rundll32.exe"), "url.dll,FileProtocolHandler", address)
	case "darwin":
		cmd = exec.Command("open", address)
	default:
		cmd = exec.Command("xdg-open", address)
	}
	if err := cmd.Start(); err != nil {
		return err
	}
	go cmd.Wait()
	return nil
}
