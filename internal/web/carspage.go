package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"net/http"
	"net/url"
	"regexp"
	"strconv"
	"strings"

	"traplight/internal/app"
	"traplight/internal/car"
	"traplight/internal/quantity"
	"traplight/internal/report"
	"traplight/internal/store"
)

type carsView struct {
	Cars []carRow
}

type carRow struct {
	store.Car
	Best  string
	Sheet store.Sheet
}

func (s *Server) cars(w http.ResponseWriter, r *http.Request) error {
	ctx := r.Context()
	list, err := s.shop.st.Cars(ctx)
	if err != nil {
		return err
	}
	var v carsView
	for _, c := range list {
		row := carRow{Car: c}
		passes, err := s.shop.st.Passes(ctx, store.Filter{Car: c.Name})
		if err != nil {
			return err
		}
		best := 0.0
		for _, p := range passes {
			if p.TrapSpeed != nil && p.Complete {
				best = max(best, *p.TrapSpeed)
			}
		}
		if best > 0 {
			row.Best = s.world(r, c.Name).Speed(best)
		}
		v.Cars = append(v.Cars, row)
	}
	return s.show(w, r, "cars", frame{Title: "Cars", Here: "cars", Body: v}, "")
}

// carView is a car's sheet to read and change.
type carView struct {
	Car       string
	New       bool
	US        bool // a new sheet has the keys of pounds, inches and psi
	Text      string
	File      string
	Valid     string
	Revisions []store.Sheet
	Settled   map[string]string
	Said      string // what was understood, assumed and not read
	Bests     []store.Pass
	Lines     []string // what is wrong, a sentence each
	Passes    []trendRow
}

// trendRow is one pass among all of a car's.
type trendRow struct {
	store.Pass
	Called     string
	Trap, Unit string
	Place      float64 // between the slowest and the fastest, 0–99
}

func (s *Server) newCar(w http.ResponseWriter, r *http.Request) error {
	keys := report.World(s.units(r), "metric")
	v := carView{New: true, Text: app.SheetToFillIn(keys), File: "car.toml", US: keys.Name == quantity.Imperial.Name}
	return s.show(w, r, "car", frame{Title: "A new car", Here: "cars", Body: v}, "")
}

func (s *Server) car(w http.ResponseWriter, r *http.Request) error {
	v, err := s.carView(r, r.PathValue("car"))
	if err != nil {
		return err
	}
	return s.show(w, r, "car", frame{Title: v.Car, Here: "cars", Body: v, Car: v.Car}, "")
}

func (s *Server) carView(r *http.Request, name string) (*carView, error) {
	ctx := r.Context()
	list, err := s.shop.st.Sheets(ctx, name)
	if err != nil {
		return nil, err
	}
	if len(list) == 0 {
		return nil, status(http.StatusNotFound, wrongCar(name))
	}
	last := list[len(list)-1]
	v := &carView{Car: last.Car, Text: string(last.Body), File: last.File, Revisions: list}
	if sheet, err := car.ParseSheet(last.File, last.Body); err == nil {
		v.Said = car.Describe(sheet, report.World(s.units(r), cmp.Or(sheet.Units, "metric")).Name == quantity.Imperial.Name)
	}
	if v.Settled, err = s.shop.st.Corrections(ctx, name); err != nil {
		return nil, err
	}
	passes, err := s.shop.st.Passes(ctx, store.Filter{Car: name})
	if err != nil {
		return nil, err
	}
	world := s.world(r, name)
	least, most := math.Inf(1), math.Inf(-1)
	for _, p := range passes {
		if p.TrapSpeed != nil {
			least, most = min(least, *p.TrapSpeed), max(most, *p.TrapSpeed)
		}
	}
	for i, called := range calledAll(passes) {
		p := passes[i]
		row := trendRow{Pass: p, Called: called}
		if p.TrapSpeed != nil {
			row.Trap, _, row.Unit = world.Parts(quantity.DimSpeed, *p.TrapSpeed, or(p.TrapSpeedSD))
			row.Place = 99 * (*p.TrapSpeed - least) / max(most-least, 1e-9)
		}
		v.Passes = append(v.Passes, row)
	}
	return v, nil
}

type wrongCar string

func (c wrongCar) Error() string { return "there is no car called " + string(c) }

// saveCar keeps a new revision of a sheet, or says what is wrong with it, line by line.
func (s *Server) saveCar(w http.ResponseWriter, r *http.Request) error {
	r.Body = http.MaxBytesReader(w, r.Body, 1<<20)
	ctx := r.Context()
	name, text := r.PostFormValue("car"), strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	file := r.PostFormValue("file")
	if file == "" || strings.ContainsAny(file, `/\`) {
		file = "car.toml"
	}
	again := func(lines []string) error {
		if wantsJSON(r) {
			return wrong("%s", strings.Join(lines, " "))
		}
		v := &carView{New: true, File: file}
		if name != "" {
			var err error
			if v, err = s.carView(r, name); err != nil {
				return err
			}
		}
		v.Text, v.Lines = text, lines
		f := frame{Title: "The sheet is not kept", Here: "cars", Body: v, Car: name}
		return s.show(w, r, "car", f, "the sheet was not kept; what is wrong stands above it")
	}
	if lines := checkSheet(file, text); len(lines) > 0 {
		return again(lines)
	}
	sheet, err := car.ParseSheet(file, []byte(text))
	if err != nil {
		return again([]string{sentence(err.Error())})
	}
	if name != "" && fold(sheet.Name) != fold(name) {
		return again([]string{"This sheet names another car than " + name + ": write a new car's sheet under Cars."})
	}
	valid := ""
	if r.PostFormValue("past") != "" {
		valid = store.Always
	}
	if sheet.ValidFrom != "" {
		valid = sheet.ValidFrom
	}
	out, _, err := s.shop.st.AddSheet(ctx, store.Sheet{Car: sheet.Name, Label: sheet.Revision, Valid: valid, File: file, Body: []byte(text)})
	if err != nil {
		return err
	}
	return s.rework(w, r, out.Car, "/cars/"+url.PathEscape(out.Car))
}

// rework works a car's logs out again after its sheet or channels changed.
func (s *Server) rework(w http.ResponseWriter, r *http.Request, name, to string) error {
	j, err := s.jobs.start("working "+name+"'s logs out again", func(ctx context.Context, j *job) (string, error) {
		s.shop.mu.Lock()
		delete(s.shop.models, fold(name))
		s.shop.mu.Unlock()
		return to, s.shop.again(ctx, j)
	})
	if err != nil {
		return err
	}
	return s.follow(w, r, j)
}

// checkSheet gives a sentence for each thing wrong with a sheet.
func checkSheet(file, text string) []string {
	sheet, err := car.ParseSheet(file, []byte(text))
	if err == nil {
		if err = sheet.StrictErr(); err == nil && strings.TrimSpace(sheet.Name) == "" {
			return []string{`The sheet needs a name = "...".`}
		}
	}
	return linesOf(file, err)
}

// linesOf turns the complaints about a file into sentences.
func linesOf(file string, err error) []string {
	if err == nil {
		return nil
	}
	var out []string
	for _, l := range strings.Split(err.Error(), "\n") {
		if rest, ok := strings.CutPrefix(l, file+":"); ok {
			l = "line " + rest
		}
		out = append(out, sentence(l))
	}
	return out
}

// checkEntry says what is wrong with one entry of the notes.
func checkEntry(kind store.Kind, text string) error {
	if notesHead.MatchString(text) || strings.HasPrefix(strings.TrimSpace(text), "[") {
		return errOneTable
	}
	const file = "notes"
	n, err := car.ParseNotes(file, []byte("[["+string(kind)+"]]\n"+text))
	if err == nil {
		err = n.StrictErr()
	}
	return entryErr(file, err)
}

// checkForm is checkEntry for a text that a form made: nobody typed its lines.
func checkForm(kind store.Kind, text string) error {
	err := checkEntry(kind, text)
	if err == nil {
		return nil
	}
	return errors.New(typedLine.ReplaceAllString(err.Error(), ""))
}

var typedLine = regexp.MustCompile(`(?m)^line \d+: `)

// entryPlace is where the complaint about a line of a file begins.
var entryPlace = regexp.MustCompile(`(?m)^(\w+):(\d+): \[\[\w+\]\]:? ?`)

// entryErr tells the lines of an entry as they were typed, under the head of its table.
func entryErr(file string, err error) error {
	if err == nil {
		return nil
	}
	return errors.New(entryPlace.ReplaceAllStringFunc(err.Error(), func(at string) string {
		m := entryPlace.FindStringSubmatch(at)
		n, bad := strconv.Atoi(m[2])
		if m[1] != file || bad != nil {
			return at
		}
		return fmt.Sprintf("line %d: ", max(1, n-1))
	}))
}
