package web

import (
	"crypto/rand"
	"crypto/subtle"
	"errors"
	"fmt"
	"net"
	"net/http"
	"net/netip"
	"os"
	"strings"
	"sync"
	"time"
)

const (
	sessionCookie = "traplight_session"
	sessionLasts  = 12 * time.Hour
	// Wrong codes per minute, of one visitor and of all together.
	triesOfOne, triesOfAll = 5, 30
)

// policy lets a page use what comes from this server and nothing else: no script or
// style inside a page, no other machine.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// guard decides who may ask for what.
type guard struct {
	code   string
	guests Rights
	now    func() time.Time
	cross  *http.CrossOriginProtection

	mu       sync.Mutex
	sessions map[string]time.Time // until when
	wrong    map[string][]time.Time
}

func newGuard(o Options) *guard {
	return &guard{
		code: o.Code, guests: o.Guests, now: o.Now, cross: http.NewCrossOriginProtection(),
		sessions: map[string]time.Time{}, wrong: map[string][]time.Time{},
	}
}

// NewCode makes an access code that a person can type on a phone.
func NewCode() string {
	const letters = "abcdefghjkmnpqrstuvwxyz23456789" // none that is mistaken for another
	b := make([]byte, 10)
	rand.Read(b)
	for i := range b {
		b[i] = letters[int(b[i])%len(letters)]
	}
	return string(b[:5]) + "-" + string(b[5:])
}

// wrap puts the guard before all pages.
func (g *guard) wrap(next http.Handler, s *Server) http.Handler {
	g.cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, status(http.StatusForbidden, errors.New("this request came from another site's page and was not obeyed")))
	}))
	inner := g.cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		if !hostAllowed(r.Host, g.code != "") {
			http.Error(w, "traplight: this address is not known; open the one that was printed at the start", http.StatusMisdirectedRequest)
			return
		}
		if r.Method != http.MethodGet && r.Method != http.MethodHead && r.Method != http.MethodPost {
			http.Error(w, "traplight: only reading and sending forms", http.StatusMethodNotAllowed)
			return
		}
		if !local(r) {
			if g.code == "" {
				http.Error(w, "traplight: only this machine itself is served", http.StatusForbidden)
				return
			}
			open := r.URL.Path == "/enter" || strings.HasPrefix(r.URL.Path, "/assets/")
			if !open && !g.known(r) {
				if strings.HasPrefix(r.URL.Path, "/api/") {
					s.fail(w, r, status(http.StatusUnauthorized, errors.New("the access code is missing: send it to /enter first")))
					return
				}
				http.Redirect(w, r, "/enter", http.StatusSeeOther)
				return
			}
			if r.Method == http.MethodPost && !g.mayPost(r) {
				s.fail(w, r, status(http.StatusForbidden, errors.New("from the pit network this page is for reading; changes are made on the machine itself, or it is started with --guests")))
				return
			}
		}
		inner.ServeHTTP(w, r)
	})
}

// mayPost tells what a visitor from another machine may change.
func (g *guard) mayPost(r *http.Request) bool {
	switch {
	case r.URL.Path == "/enter" || r.URL.Path == "/look":
		return true
	case g.guests == MayWrite:
		return true
	case g.guests == MayTick:
		path := strings.TrimPrefix(r.URL.Path, "/api/v1")
		return strings.HasPrefix(path, "/cars/") && strings.HasSuffix(path, "/round")
	}
	return false
}

// may tells a page whether to offer a form.
func (g *guard) may(r *http.Request, need Rights) bool {
	return local(r) || g.guests == MayWrite || g.guests == need
}

// local says that the request comes from this machine itself.
func local(r *http.Request) bool {
	a, err := netip.ParseAddrPort(r.RemoteAddr)
	return err == nil && a.Addr().Unmap().IsLoopback()
}

// hostAllowed refuses names that someone else's name server could point here.
func hostAllowed(host string, listening bool) bool {
	name := host
	if h, _, err := net.SplitHostPort(host); err == nil {
		name = h
	}
	name = strings.ToLower(strings.Trim(name, "[]"))
	if name == "localhost" {
		return true
	}
	if a, err := netip.ParseAddr(name); err == nil {
		return a.IsLoopback() || listening
	}
	if !listening {
		return false
	}
	own, err := os.Hostname()
	own = strings.ToLower(own)
	return err == nil && own != "" && (name == own || name == own+".local")
}

func (g *guard) known(r *http.Request) bool {
	c, err := r.Cookie(sessionCookie)
	if err != nil {
		return false
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	until, ok := g.sessions[c.Value]
	if ok && g.now().After(until) {
		delete(g.sessions, c.Value)
		return false
	}
	return ok
}

// admit takes a code; it returns the session.
func (g *guard) admit(from, code string) (session string, err error) {
	g.mu.Lock()
	defer g.mu.Unlock()
	now := g.now()
	all := 0
	for who, tries := range g.wrong {
		for len(tries) > 0 && now.Sub(tries[0]) > time.Minute {
			tries = tries[1:]
		}
		if g.wrong[who] = tries; len(tries) == 0 {
			delete(g.wrong, who)
		}
		all += len(tries)
	}
	if len(g.wrong[from]) >= triesOfOne || all >= triesOfAll {
		return "", status(http.StatusTooManyRequests, errors.New("too many wrong codes; wait a minute"))
	}
	clean := strings.ToLower(strings.TrimSpace(code))
	if g.code == "" || subtle.ConstantTimeCompare([]byte(clean), []byte(g.code)) != 1 {
		g.wrong[from] = append(g.wrong[from], now)
		return "", status(http.StatusForbidden, errors.New("that is not the code; it is printed where traplight was started"))
	}
	session = rand.Text()
	g.sessions[session] = now.Add(sessionLasts)
	return session, nil
}

func (s *Server) enterForm(w http.ResponseWriter, r *http.Request) error {
	return s.show(w, r, "enter", frame{Title: "Enter"}, "")
}

func (s *Server) enter(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 4<<10)
	from, _, _ := net.SplitHostPort(r.RemoteAddr)
	session, err := s.guard.admit(from, r.PostFormValue("code"))
	if err != nil {
		f := frame{Title: "Enter", code: codeOf(err)}
		return s.show(w, r, "enter", f, err.Error())
	}
	http.SetCookie(w, &http.Cookie{Name: sessionCookie, Value: session, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode, MaxAge: int(sessionLasts.Seconds())})
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// statusError is an error with the code that a browser is told.
type statusError struct {
	code int
	error
}

func (e *statusError) Unwrap() error { return e.error }

func status(code int, err error) error { return &statusError{code, err} }

func wrong(format string, a ...any) error {
	return status(http.StatusUnprocessableEntity, fmt.Errorf(format, a...))
}
