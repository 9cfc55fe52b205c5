package web

import (
	"context"
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"traplight/internal/app"
	"traplight/internal/page"
)

//go:embed ui templates thirdparty
var files embed.FS

// Rights say what a visitor from the pit's network may do.
type Rights string

// The rights of a visitor. Whoever sits at the machine itself may do all.
const (
	MayRead  Rights = "read"
	MayTick  Rights = "tick" // and tick the turn-round list
	MayWrite Rights = "write"
)

// Options of a server.
type Options struct {
	Shop    *app.Shop
	Program string // name and version, kept beside results
	// Units are "us", "metric", "si"; "auto" takes those of each car.
	Units string
	// Code lets visitors from other machines in; "" lets none in.
	Code   string
	Guests Rights
	Now    func() time.Time // nil means time.Now
	Log    *slog.Logger     // nil means none
	Effort Effort
}

// Effort is how much is worked out about a pass to come. The zero value is the whole of it;
// less serves where pages are tried and their figures are not.
type Effort struct {
	Members int  // of the fitted ensemble; 0 means the usual number
	Draws   int  // passes that are run for a forecast; 0 means the usual number
	Search  int  // passes behind each set of settings that a plan tries; 0 means the usual number
	Still   bool // the quick look stays as it begins
}

// Server serves the page. Make it with New and Close it.
type Server struct {
	shop  *shop
	jobs  *jobs
	guard *guard
	opt   Options
	views *views
	names map[string]asset // by address
	root  http.Handler

	gate sync.RWMutex // held for writing while the store is exchanged
	own  *app.Shop    // the store of a restored backup, which the server closes itself
}

// New makes a server over an open shop.
func New(o Options) (*Server, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Guests == "" {
		o.Guests = MayRead
	}
	s := &Server{shop: newShop(o), opt: o, guard: newGuard(o)}
	if err := s.loadAssets(); err != nil {
		return nil, err
	}
	var err error
	if s.views, err = loadViews(s); err != nil {
		return nil, err
	}
	s.jobs = newJobs(o.Log)
	s.root = s.guard.wrap(s.routes(), s)
	return s, nil
}

// Close ends the work that goes on.
func (s *Server) Close() {
	s.jobs.close()
	if s.own != nil {
		s.own.Close()
	}
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.root.ServeHTTP(w, r) }

// Serve answers on l until ctx ends.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	h := &http.Server{
		Handler: s, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute, MaxHeaderBytes: 64 << 10,
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    slog.NewLogLogger(s.opt.Log.Handler(), slog.LevelDebug),
	}
	stop := context.AfterFunc(ctx, func() {
		c, cancel := context.WithTimeout(context.Background(), 2*time.Second)
		defer cancel()
		h.Shutdown(c)
	})
	defer stop()
	err := h.Serve(l)
	if errors.Is(err, http.ErrServerClosed) {
		return nil
	}
	return err
}

// handler answers a request or says in one sentence why not.
type handler func(w http.ResponseWriter, r *http.Request) error

func (s *Server) routes() *http.ServeMux {
	m := http.NewServeMux()
	do := func(pattern string, h handler) {
		m.HandleFunc(pattern, func(w http.ResponseWriter, r *http.Request) {
			s.gate.RLock()
			defer s.gate.RUnlock()
			if err := h(w, r); err != nil {
				s.fail(w, r, err)
			}
		})
	}
	do("GET /{$}", s.day)
	do("POST /logs", s.takeIn)
	do("POST /demo", s.demo)
	do("GET /jobs/{id}", s.work)
	do("GET /passes/{name}", s.pass)
	do("GET /passes/{name}/traces", s.traces)
	do("GET /passes/{name}/notes", s.passNotes)
	do("POST /passes/{name}/notes", s.savePassNotes)
	do("POST /passes/{name}/inspection", s.inspect)
	do("POST /passes/{name}/remove", s.remove)
	do("GET /compare", s.compare)
	do("GET /cars", s.cars)
	do("GET /cars/new", s.newCar)
	do("POST /cars", s.saveCar)
	do("GET /cars/{car}", s.car)
	do("GET /cars/{car}/next", s.next)
	do("POST /cars/{car}/next", s.saveNext)
	do("GET /cars/{car}/card/{id}", s.card)
	do("GET /cars/{car}/card/{id}/pdf", s.cardPDF)
	do("POST /cars/{car}/weather", s.saveWeather)
	do("GET /cars/{car}/round", s.round)
	do("POST /cars/{car}/round", s.saveRound)
	do("POST /cars/{car}/round/list", s.saveRoundList)
	do("GET /cars/{car}/parts", s.parts)
	do("POST /cars/{car}/parts", s.saveParts)
	do("GET /cars/{car}/size", s.size)
	do("POST /cars/{car}/size", s.saveTurbo)
	do("GET /cars/{car}/trends", s.trends)
	do("GET /strips", s.strips)
	do("POST /strips", s.saveStrip)
	do("GET /record", s.record)
	do("GET /keep", s.keep)
	do("POST /backup", s.backup)
	do("POST /restore", s.restore)
	do("GET /logs/{sum}/channels", s.channels)
	do("POST /logs/{sum}/channels", s.settleChannels)
	do("POST /look", s.look)
	do("GET /enter", s.enterForm)
	do("POST /enter", s.enter)
	do("GET /assets/{file}", s.asset)
	s.apiRoutes(do)
	do("/", func(http.ResponseWriter, *http.Request) error {
		return status(http.StatusNotFound, errors.New("there is no page at this address"))
	})
	return m
}

// asset is a file that a page asks for.
type asset struct {
	kind string
	data []byte
}

// loadAssets names scripts and styles by their contents, so that a browser may keep
// them for ever.
func (s *Server) loadAssets() error {
	s.names = map[string]asset{}
	add := func(name string, data []byte) {
		kind := "text/javascript; charset=utf-8"
		if strings.HasSuffix(name, ".css") {
			kind = "text/css; charset=utf-8"
		}
		s.names[name] = asset{kind, data}
	}
	base, err := page.Style()
	if err != nil {
		return err
	}
	own, err := files.ReadFile("ui/web.css")
	if err != nil {
		return err
	}
	add("style.css", append(dark(base), own...))
	for _, dir := range []string{"ui", "thirdparty/uplot"} {
		err := fs.WalkDir(files, dir, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || path == "ui/web.css" || !strings.HasSuffix(path, ".js") && !strings.HasSuffix(path, ".css") {
				return err
			}
			data, err := files.ReadFile(path)
			add(d.Name(), data)
			return err
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// dark makes the dark ground a matter of request: the report's own page follows the
// reader's system.
func dark(style []byte) []byte {
	const query = "@media screen and (prefers-color-scheme: dark) {\n  :root {"
	return []byte(strings.Replace(string(style), query, "@media screen {\n  :root[data-ground=dark] {", 1))
}

// address is where a page finds an asset.
func (s *Server) address(name string) (string, error) {
	a, ok := s.names[name]
	if !ok {
		return "", fmt.Errorf("no asset %q", name)
	}
	sum := sha256.Sum256(a.data)
	return "/assets/" + name + "?" + hex.EncodeToString(sum[:6]), nil
}

func (s *Server) asset(w http.ResponseWriter, r *http.Request) error {
	a, ok := s.names[r.PathValue("file")]
	if !ok {
		return status(http.StatusNotFound, errors.New("there is no such file"))
	}
	w.Header().Set("Content-Type", a.kind)
	w.Header().Set("Cache-Control", "max-age=31536000, immutable")
	return write(w, r, a.data)
}
