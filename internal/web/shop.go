package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"sync"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/dictionary"
	"traplight/internal/page"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

// shop joins the store, which remembers, and app, which works out.
type shop struct {
	app     *app.Shop
	st      *store.Store
	program string
	effort  Effort

	mu     sync.Mutex
	loaded map[string]*report.Source // by SHA-256, the few used last
	order  []string
	drawn  map[string]page.Drawings
	models map[string]*foretold // by car
}

// How many logs are kept in memory with all their samples.
const keepLoaded = 10

func newShop(o Options) *shop {
	return &shop{app: o.Shop, st: o.Shop.Store, program: o.Program, effort: o.Effort, loaded: map[string]*report.Source{}, drawn: map[string]page.Drawings{}, models: map[string]*foretold{}}
}

// fold makes names comparable as people write them.
func fold(s string) string { return strings.ToLower(strings.TrimSpace(s)) }

// sheet is the car's sheet as it stands now.
func (h *shop) sheet(ctx context.Context, name string) (*car.Sheet, error) {
	list, err := h.st.Sheets(ctx, name)
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, status(http.StatusNotFound, wrongCar(name))
	}
	var all []*car.Sheet
	for _, l := range list {
		s, err := car.ParseSheet(l.File, l.Body)
		if err != nil {
			return nil, err
		}
		if s.ValidFrom == "" && l.Valid != store.Always {
			s.ValidFrom = l.Valid
		}
		all = append(all, s)
	}
	return car.Latest(all, ""), nil
}

func (h *shop) notes(ctx context.Context) (*car.Notes, error) {
	text, err := h.st.Notes(ctx)
	if err != nil {
		return nil, err
	}
	return car.ParseNotes("the notes", text)
}

// place is what people call where a pass was run; "" when nobody said.
func (h *shop) place(ctx context.Context, p store.Pass) (string, error) {
	notes, err := h.notes(ctx)
	if err != nil {
		return "", err
	}
	return placeOf(notes, p), nil
}

func placeOf(notes *car.Notes, p store.Pass) string {
	strip := ""
	if n := notes.For(p.File, p.Number); n != nil {
		strip = n.Strip
	}
	return notes.Place(p.Event, strip)
}

// unitsOf are the units in which a car's people think; "" not known.
func (h *shop) unitsOf(ctx context.Context, name string) string {
	if name == "" {
		return ""
	}
	if s, err := h.sheet(ctx, name); err == nil {
		return s.Units
	}
	return ""
}

func (h *shop) keep(sum string, w *report.Source) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.order = slices.DeleteFunc(h.order, func(s string) bool { return s == sum })
	h.order = append(h.order, sum)
	h.loaded[sum] = w
	for len(h.order) > keepLoaded {
		delete(h.loaded, h.order[0])
		h.order = h.order[1:]
	}
}

// forget drops what is in memory, after sheets, notes or channels changed.
func (h *shop) forget() {
	h.mu.Lock()
	defer h.mu.Unlock()
	clear(h.loaded)
	clear(h.drawn)
	h.order = nil
}

// source is a log of the store, from memory or worked out again.
func (h *shop) source(ctx context.Context, p store.Pass) (*report.Source, error) {
	h.mu.Lock()
	w := h.loaded[p.SHA256]
	h.mu.Unlock()
	if w != nil {
		return w, nil
	}
	w, err := h.app.Source(ctx, p.SHA256)
	if err != nil {
		return nil, err
	}
	h.keep(p.SHA256, w)
	return w, nil
}

// drawings of one pass, from the cache or drawn again.
func (h *shop) drawings(ctx context.Context, p store.Pass, w quantity.World, inputs string) (page.Drawings, error) {
	key := p.SHA256 + fmt.Sprint(p.Number) + w.Unit(quantity.DimSpeed).Symbol
	h.mu.Lock()
	d, ok := h.drawn[key]
	h.mu.Unlock()
	if ok {
		return d, nil
	}
	name := "drawn-" + hashOf(key, inputs, h.program) + ".json"
	if f, ok := h.st.Cached(name); ok {
		err := json.NewDecoder(f).Decode(&d)
		f.Close()
		if err == nil {
			h.remember(key, d)
			return d, nil
		}
	}
	src, err := h.source(ctx, p)
	if err != nil {
		return d, err
	}
	if p.Number >= len(src.Passes) {
		return d, fmt.Errorf("%s: pass %d is not found in it any more", p.File, p.Number+1)
	}
	d = page.Draw(src.Passes[p.Number], src.Set, w)
	h.remember(key, d)
	if data, err := json.Marshal(d); err == nil {
		_ = h.st.PutCached(name, writerOf(data)) // drawn again where it cannot be kept
	}
	return d, nil
}

func (h *shop) remember(key string, d page.Drawings) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.drawn) > 200 {
		clear(h.drawn)
	}
	h.drawn[key] = d
}

func hashOf(parts ...string) string {
	d := sha256.Sum256([]byte(strings.Join(parts, "\x00")))
	return hex.EncodeToString(d[:12])
}

// report of the log in which a pass lies, as it was kept.
func (h *shop) report(ctx context.Context, sum string) (*report.Report, string, error) {
	kept, err := h.st.Result(ctx, sum)
	if err != nil {
		return nil, "", err
	}
	r := &report.Report{}
	if err := json.Unmarshal(kept.Report, r); err != nil {
		return nil, "", err
	}
	return r, kept.Inputs, nil
}

// history are the files of all a car's passes, for what learns from them. The caller
// closes what they came from.
func (h *shop) history(ctx context.Context, name string) (*app.Named, app.ForecastRequest, error) {
	passes, err := h.st.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return nil, app.ForecastRequest{}, err
	}
	var sums []string
	for _, p := range passes {
		if !slices.Contains(sums, p.SHA256) {
			sums = append(sums, p.SHA256)
		}
	}
	n, err := app.Resolve(ctx, h.st.Dir(), h.program, sums, nil, "")
	if err != nil {
		return nil, app.ForecastRequest{}, err
	}
	return n, app.ForecastRequest{Cars: n.Cars, Notes: n.Notes, History: n.Logs}, nil
}

// unsure are the channels that a person should settle.
func unsure(set []report.Channel) (out []report.Channel) {
	const sure = 0.6 // of 1: below it the dictionary is wrong about as often as right
	for _, c := range set {
		if c.Quantity == nil || c.Confidence < sure {
			out = append(out, c)
		}
	}
	return out
}

func channelNamed(set *dictionary.Set, name string) *dictionary.Channel {
	for i := range set.Channels {
		if set.Channels[i].Name == name {
			return &set.Channels[i]
		}
	}
	return nil
}
