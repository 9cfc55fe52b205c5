package app

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"traplight/internal/car"
	"traplight/internal/fitcar"
	"traplight/internal/forecast"
	"traplight/internal/health"
	"traplight/internal/physics/turbomap"
	"traplight/internal/reconstruct"
	"traplight/internal/report"
)

// ForecastRequest asks what a planned pass will bring.
type ForecastRequest struct {
	Cars    []string // paths of car sheets
	Notes   string   // path of a notes file
	History []string // paths of logs of the passes before it
	Next    string   // id of the planned pass
	Draws   int      // 0 means the usual number
	Members int      // of the fitted ensemble; 0 means the usual number
	Seed    uint64
	Ledger  bool
	Protect bool   // work the engine computer's protection out too
	Records string // path of the file of recorded forecasts, whose scores correct the interval; "" none
	// Said are recorded forecasts from elsewhere, such as the store's, for the same use.
	Said []forecast.Record
	// Progress is called with what is being done; nil is allowed.
	Progress func(what string, done, of int)
}

// Fitted is a car fitted to its history.
type Fitted struct {
	Model *fitcar.Model
	Sheet *car.Sheet // as the car will be run
	Notes *car.Notes // nil when none was given
	// Map is the compressor's, where the sheet names one that can be read; nil otherwise.
	Map   *turbomap.Compressor
	NoMap string   // why the map that the sheet names is not used; "" where nothing is amiss
	Left  []string // what is amiss with the notes, a sentence each
	// useless are the logs and passes of the history that teach nothing, and why, a sentence each.
	useless []string
	// misfit are the passes of the history that look like another car's, a sentence each.
	misfit []string
	// Protection are thresholds for the engine computer, from the clear passes; nil when
	// it was not asked for.
	Protection []health.Threshold
}

// ErrHistory says that there is nothing to learn from.
var ErrHistory = errors.New("no history: --history names the logs of the car's passes, as many as there are")

// FitHistory reads sheets, notes and logs and fits the car. What sets the next pass is read
// strictly: a key that is not known is refused. when picks the sheet of the car as
// it will be run; "" takes the last one.
func FitHistory(ctx context.Context, q ForecastRequest, when string) (*Fitted, error) {
	if len(q.History) == 0 {
		return nil, ErrHistory
	}
	f, err := open(q, when)
	if err != nil {
		return nil, err
	}
	obs, err := f.observations(ctx, q)
	if err != nil {
		return nil, err
	}
	if q.Progress != nil {
		q.Progress("fitting the car", 0, 1)
	}
	return f, f.fit(ctx, q, obs, q.Members)
}

// FitObservations is FitHistory for passes that were read before; members is the
// count of the ensemble, 0 for the usual one.
func FitObservations(ctx context.Context, q ForecastRequest, obs []*fitcar.Observation, members int) (*Fitted, error) {
	f, err := open(q, "")
	if err != nil {
		return nil, err
	}
	return f, f.fit(ctx, q, obs, members)
}

func (f *Fitted) fit(ctx context.Context, q ForecastRequest, obs []*fitcar.Observation, members int) (err error) {
	for _, o := range obs { // a revision that no pass was run by may hold a typing error
		if err := understood(o.Sheet); err != nil {
			return err
		}
	}
	f.Model, err = fitcar.Fit(ctx, f.Sheet, obs, fitcar.Options{Seed: q.Seed, Members: members, Mended: true})
	if errors.Is(err, fitcar.ErrNothing) && len(f.useless) > 0 {
		return fmt.Errorf("%w; %s", err, strings.Join(f.useless, "; "))
	}
	if err != nil {
		return err
	}
	f.Model.Notes = slices.Concat(f.misfit, f.Model.Notes, f.Left, f.useless)
	f.Map, f.NoMap = sheetMap(f.Sheet, q.Cars)
	return nil
}

// sheetMap is the compressor's map that a sheet names, beside that of the files of sheets which
// is it; nil where it names none, or with a sentence why it cannot be used.
func sheetMap(s *car.Sheet, sheets []string) (chart *turbomap.Compressor, why string) {
	if s.CompressorMap == "" {
		return nil, ""
	}
	dir := ""
	for _, path := range sheets {
		if filepath.Base(path) == s.File || dir == "" {
			dir = filepath.Dir(path)
		}
	}
	chart, err := readMap(filepath.Join(dir, filepath.FromSlash(s.CompressorMap)))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Sprintf("compressor_map names %q, which does not lie beside the car sheet", s.CompressorMap)
	case err != nil:
		return nil, fmt.Sprintf("the compressor's map is not used: %v", err)
	}
	return chart, ""
}

// open reads notes and the sheet by which the next pass is run strictly.
func open(q ForecastRequest, when string) (*Fitted, error) {
	sheets, err := loadSheets(q.Cars)
	if err != nil {
		return nil, err
	}
	f := &Fitted{Sheet: sheets[len(sheets)-1]}
	if when != "" {
		f.Sheet = car.Latest(sheets, when)
	}
	if err := understood(f.Sheet); err != nil {
		return nil, err
	}
	if q.Notes != "" {
		if f.Notes, err = car.LoadNotes(q.Notes); err != nil {
			return nil, err
		}
		if err := f.Notes.StrictErr(); err != nil {
			return nil, err
		}
		f.Left = append(f.Left, f.Notes.FitAll(sheets)...)
	}
	return f, nil
}

// understood refuses a sheet of which not every key was.
func understood(s *car.Sheet) error {
	if err := s.StrictErr(); err != nil {
		return err
	}
	for _, wrong := range unknownMeanings(s) {
		return errors.New(wrong)
	}
	return nil
}

// Observations reads the passes of the history as the fit wants them.
func Observations(ctx context.Context, q ForecastRequest) ([]*fitcar.Observation, error) {
	f := &Fitted{}
	if q.Notes != "" {
		var err error
		if f.Notes, err = car.LoadNotes(q.Notes); err != nil {
			return nil, err
		}
	}
	return f.observations(ctx, q)
}

func (f *Fitted) observations(ctx context.Context, q ForecastRequest) ([]*fitcar.Observation, error) {
	a, err := Analyse(ctx, ReportRequest{Logs: q.History, Cars: q.Cars, Notes: q.Notes, Progress: q.Progress})
	if err != nil {
		return nil, err
	}
	if q.Protect {
		f.protect(a)
	}
	return f.observe(a), nil
}

// protect takes thresholds from the clear passes.
func (f *Fitted) protect(a *Analysis) {
	clear, _ := health.Sift(recordsOf(a, f.Notes), f.Sheet)
	f.Protection = health.Protection(clear)
}

// observe takes the passes of all sources in order of time.
func (f *Fitted) observe(a *Analysis) []*fitcar.Observation {
	var obs []*fitcar.Observation
	f.useless = slices.Clone(a.told)
	for _, s := range a.Sources {
		if len(s.Passes) == 0 {
			f.useless = append(f.useless, fmt.Sprintf("%s: %s", s.Log.File, whyNone(s.Notes)))
		}
		for _, n := range s.Notes {
			if strings.Contains(n, report.OtherCar) {
				f.misfit = append(f.misfit, s.Log.File+", "+n)
			}
		}
		for _, p := range s.Passes {
			note := f.Notes.For(s.Log.File, p.Index)
			strip := f.Notes.StripFor(note)
			o, why := fitcar.Observe(p, s.Set, s.Sheet, note, &strip)
			if o == nil {
				f.useless = append(f.useless, fmt.Sprintf("%s, pass %d teaches the model nothing: %s", s.Log.File, p.Index+1, why))
				continue
			}
			o.File = s.Log.File
			obs = append(obs, o)
		}
	}
	f.order(a, obs)
	f.suspect(a, obs) // nobody has to have seen a fault for it to count
	return obs
}

// whyNone is why a log holds no pass, by the notes on it.
func whyNone(notes []string) string {
	for _, n := range notes {
		if strings.HasPrefix(n, reconstruct.NoPass) {
			return n
		}
	}
	return report.NoPass
}

// Forecast says what the planned pass will bring.
func Forecast(ctx context.Context, q ForecastRequest) (*forecast.Result, *Fitted, error) {
	f, err := FitHistory(ctx, q, "")
	if err != nil {
		return nil, nil, err
	}
	planned, err := f.planned(q.Next)
	if err != nil {
		return nil, nil, err
	}
	n, err := forecast.Prepare(f.Model, f.Notes, planned)
	if err != nil {
		return nil, nil, err
	}
	last := f.Model.Passes[len(f.Model.Passes)-1].Obs
	f.stripOf(n, f.Notes.For(last.File, last.Index))
	opt := forecast.Options{Draws: q.Draws, Seed: q.Seed, Ledger: q.Ledger}
	if q.Records != "" {
		t, err := ReadTrack(q.Records, f.Sheet.Name)
		if err != nil {
			return nil, nil, err
		}
		opt.Track = t.counts()
	}
	if q.Records == "" && len(q.Said) > 0 {
		e, a := forecast.TrackOf(q.Said, f.Sheet.Name)
		if t := (TrackRecord{e, a}).counts(); t.Count > 0 {
			opt.Track = t
		}
	}
	if q.Progress != nil {
		opt.Progress = func(done, of int) { q.Progress("running passes", done, of) }
	}
	r, err := forecast.Run(ctx, f.Model, n, opt)
	if err != nil {
		return nil, nil, err
	}
	r.Mind = f.minded(n, r)
	return r, f, nil
}

// stripOf takes the shut-down length from the last pass's strip where the planned one names
// none; note may be nil.
func (f *Fitted) stripOf(n *forecast.Next, note *car.PassNote) {
	if n.ShutDown == 0 && note != nil {
		n.ShutDown = f.Notes.StripFor(note).ShutDown
	}
}

func ids(n *car.Notes) string {
	if n == nil || len(n.Planned) == 0 {
		return "; they hold none ([[planned]] with an id)"
	}
	s := "; they hold"
	for i := range n.Planned {
		s += " " + n.Planned[i].ID
	}
	return s
}

// RecordForecast writes a forecast down in a file that only grows, and puts time and
// hash into the answer.
func RecordForecast(path string, f *Fitted, r *forecast.Result, a *forecast.Answer, now time.Time) error {
	var logs []string
	for _, p := range f.Model.Passes {
		logs = append(logs, fmt.Sprintf("%s#%d", p.Obs.File, p.Obs.Index))
	}
	return forecast.Append(path, f.Sheet.Name, logs, r, a, now)
}
