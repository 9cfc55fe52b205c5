package car

import (
	"errors"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/quantity"
)

// LoadSheet reads a car sheet. Unknown keys do not stop it: they are in Unread,
// and told in Notes. An error joins an *Error for each value that cannot be, with its
// place, or is the file system's.
func LoadSheet(path string) (*Sheet, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseSheet(name, data)
}

// LoadUsableSheet is LoadSheet, but that a value that cannot be is left out, as if it were
// not stated: it is in Wrong, and told in Notes.
func LoadUsableSheet(path string) (*Sheet, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseUsableSheet(name, data)
}

// ParseSheet reads the text of a car sheet; name serves in messages.
func ParseSheet(name string, data []byte) (*Sheet, error) {
	s, err := ParseUsableSheet(name, data)
	if err == nil {
		err = joined(s.Wrong)
	}
	if err != nil {
		return nil, err
	}
	return s, nil
}

// ParseUsableSheet is to LoadUsableSheet as ParseSheet to LoadSheet.
func ParseUsableSheet(name string, data []byte) (*Sheet, error) {
	doc, err := parseTOML(name, data)
	if err != nil {
		return nil, err
	}
	s := &Sheet{File: name}
	w := &written{tyre: map[string]*wheelText{}}
	fields := sheetFields(s, w)
	r := newReader(doc)
	tables := []string{"channels"}
	for i := range fields {
		if t := fields[i].table; t != "" && !slices.Contains(tables, t) {
			tables = append(tables, t)
		}
	}
	r.table(doc.root, nil, fields, "", "", slices.DeleteFunc(slices.Collect(maps.Keys(doc.root)), func(k string) bool {
		_, isTable := doc.root[k].(map[string]any)
		return !isTable && !slices.Contains(tables, k)
	})...)
	for _, k := range r.byLine(doc.root, nil) {
		sub, isTable := doc.root[k].(map[string]any)
		line := doc.line(k)
		switch {
		case !isTable && slices.Contains(tables, k):
			r.fail(line, k, fmt.Sprintf("must be a table headed [%s], not %s", k, kindName(doc.root[k])), ErrType)
		case !isTable:
			// read above
		case k == "channels":
			s.Channels = r.words(sub, []string{k})
		case slices.Contains(tables, k):
			r.table(sub, []string{k}, fields, k, "["+k+"]")
		default:
			u := Unread{Line: firstLine(doc, k), Key: "[" + k + "]"}
			if best, ok := nearestOf(k, tables); ok {
				u.Nearest = "[" + best + "]"
			}
			r.unread = append(r.unread, u)
		}
	}
	r.doubtLimits(&s.Limits)
	s.finish(w, r)
	s.Unread, s.Read, s.Wrong = r.unread, r.read, r.complaints()
	slices.SortStableFunc(s.Unread, func(a, b Unread) int { return a.Line - b.Line })
	s.Notes = append(s.Notes, remarks(s.Wrong)...)
	s.Notes = append(s.Notes, sentences(name, s.Unread)...)
	s.Notes = append(s.Notes, r.notes...)
	return s, nil
}

// doubtLimits keeps the limits outside what is usual by their text. Until they are confirmed they
// count as not stated: much that a log does not show is worked out from what a car may bear.
func (r *reader) doubtLimits(l *Limits) {
	for _, u := range r.unusual {
		limit, ok := strings.CutPrefix(u.text, "[limits] ")
		if !ok {
			continue
		}
		l.Unusual = append(l.Unusual, limit)
		if l.Confirmed {
			continue
		}
		switch dst := u.dst.(type) {
		case *float64:
			*dst = 0
		case *[]float64:
			*dst = nil
		}
	}
}

// StrictErr is nil when every key and value of the sheet was understood; else it names each
// one that was not, with its line. What sets the next pass refuses such a sheet.
func (s *Sheet) StrictErr() error { return errors.Join(joined(s.Wrong), strictErr(s.File, s.Unread)) }

// words reads a table of free keys with text.
func (r *reader) words(values map[string]any, path []string) map[string]string {
	m := map[string]string{}
	for _, k := range r.byLine(values, path) {
		v, ok := values[k].(string)
		if !ok {
			r.fail(r.doc.line(append(slices.Clone(path), k)...), fmt.Sprintf("[%s] %q", strings.Join(path, "."), k), "must be text between quotes, not "+kindName(values[k]), ErrType)
			continue
		}
		m[k] = strings.TrimSpace(v)
		r.read = append(r.read, Reading{r.doc.line(append(slices.Clone(path), k)...), strings.Join(path, "."), k, show(v)})
	}
	return m
}

// firstLine finds a line for a table that has no heading of its own ([a.b]).
func firstLine(doc *document, name string) int {
	if l := doc.line(name); l > 0 {
		return l
	}
	best := 0
	for path, l := range doc.lines {
		if strings.HasPrefix(path, name+"\x00") && (best == 0 || l < best) {
			best = l
		}
	}
	return best
}

// finish works out what the sheet states indirectly, checks what belongs together,
// and puts defaults where nothing was stated.
func (s *Sheet) finish(w *written, r *reader) {
	if s.Name == "" {
		s.Name = strings.TrimPrefix(strings.TrimSuffix(s.File, filepath.Ext(s.File)), "car_")
		s.assume("name = %q, from the file's name", s.Name)
	}
	s.Driven = drivenOf(w.driven)
	if s.Driven == "" {
		s.Driven = RearDriven
		if s.FrontWeightShare.Value > 0.58 {
			s.Driven = FrontDriven
		}
		s.assume("driven = %q (a guess, from the weight on the front axle if that is stated)", s.Driven)
	}
	s.finishGears(w, r)
	s.finishBody(w)
	s.finishTyres(w, r)
	s.finishEngine(w, r)
	s.finishInertia(w)
}

var drivenWords = []string{"front", "rear", "all"}
var drivenOther = []string{"fwd", "rwd", "awd", "4wd", "front-wheel", "rear-wheel", "all-wheel", "four-wheel"}

func drivenOf(word string) Driven {
	switch strings.ToLower(word) {
	case "front", "fwd", "front-wheel":
		return FrontDriven
	case "rear", "rwd", "rear-wheel":
		return RearDriven
	case "all", "awd", "4wd", "all-wheel", "four-wheel":
		return AllDriven
	}
	return ""
}

func (s *Sheet) finishBody(w *written) {
	s.setDefault(&s.Mass, "mass_kg", defaultMass, defaultMassSD)
	s.setDefault(&s.DragArea, "cda_m2", defaultDrag, defaultDragSD)
	s.setDefault(&s.RollingResist, "rolling_resistance", defaultRolling, defaultRollingSD)
	s.setDefault(&s.Wheelbase, "wheelbase_m", defaultWheelbase, defaultWheelbaseSD)
	s.setDefault(&s.CGHeight, "cg_height_m", defaultCGHeight, defaultCGHeightSD)
	s.setDefault(&s.FrontWeightShare, "front_weight_share", defaultFrontShare(s.Driven), defaultShareSD)
	s.setDefault(&s.LossShare, "loss_share", defaultLoss(s.Driven), defaultLossSD)
	// Drag acts about as high as the mass lies and so moves load to the rear (Gillespie, ch. 1, the
	// loads on axles); lift as it is usually measured has that in it.
	moved := s.DragArea.Value * s.CGHeight.Value / s.Wheelbase.Value
	lift := func(dst *quantity.Estimate, key string, down, up quantity.Estimate, moved float64) {
		switch {
		case !missing(down):
			*dst = down
		case !missing(up):
			*dst = quantity.Estimate{Value: -up.Value, SD: up.SD}
		case !missing(w.liftUp):
			// How it is shared between the axles is not known.
			*dst = quantity.Estimate{Value: -w.liftUp.Value / 2, SD: math.Hypot(w.liftUp.SD/2, w.liftUp.Value/4)}
		default:
			s.setDefault(dst, key, moved, defaultLiftSD)
		}
	}
	lift(&s.LiftFront, "downforce_front_m2", w.downFront, w.liftUpFront, -moved)
	lift(&s.LiftRear, "downforce_rear_m2", w.downRear, w.liftUpRear, moved)
}

func (s *Sheet) finishGears(w *written, r *reader) {
	s.finishFinalDrive(w, r)
	if w.primary > 0 && s.FinalDrive > 0 {
		s.FinalDrive *= w.primary
	}
	for i := 1; i < len(s.Gears); i++ {
		if s.Gears[i] >= s.Gears[i-1] {
			at := r.at[&s.Gears]
			r.fail(at.Line, "[driveline] "+at.Key, fmt.Sprintf("gear %d (%.4g) must have a smaller overall ratio than gear %d (%.4g); list them from first gear on", i+1, s.Gears[i], i, s.Gears[i-1]), ErrImpossible)
			s.Gears = nil
		}
	}
	if len(s.Gears) == 0 {
		s.assume("gears: none stated, they are looked for in the log")
	}
	if s.FinalDrive == 0 {
		s.assume("final_drive: not stated, overall ratios are looked for in the log")
	}
	for _, l := range []struct {
		list *[]float64
		what string
	}{{&s.UsualBoost, "boost targets"}, {&s.Limits.GearboxTorque, "torque limits"}} {
		if g := len(s.Gears); g > 0 && len(*l.list) > g {
			f := r.at[l.list]
			r.fail(f.Line, "["+f.Table+"] "+f.Key, fmt.Sprintf("has %d %s for %d gears", len(*l.list), l.what, g), ErrImpossible)
			*l.list = nil
		}
	}
	if g, n := len(s.Gears), len(s.UsualShiftSpeed); g > 0 && n > g {
		f := r.at[&s.UsualShiftSpeed]
		r.fail(f.Line, "[engine] "+f.Key, fmt.Sprintf("has %d shift speeds for %d shifts", n, g-1), ErrImpossible)
		s.UsualShiftSpeed = nil
	}
	// One figure, or too few, holds on for the gears above.
	s.UsualBoost = extend(s.UsualBoost, len(s.Gears))
	s.UsualShiftSpeed = extend(s.UsualShiftSpeed, len(s.Gears)-1)
	s.Limits.GearboxTorque = extend(s.Limits.GearboxTorque, len(s.Gears))
}

// finishFinalDrive brings a final drive that goes with the gear into the ratios.
func (s *Sheet) finishFinalDrive(w *written, r *reader) {
	n := len(w.finalByGear)
	if n == 0 {
		return
	}
	f := r.at[&w.finalByGear]
	switch {
	case s.FinalDrive != 0: // nobody knows which one holds
		s.FinalDrive = 0
		r.fail(f.Line, "[driveline] "+f.Key, "state either final_drive or final_drive_by_gear", ErrImpossible)
	case n != len(s.Gears):
		r.fail(f.Line, "[driveline] "+f.Key, fmt.Sprintf("has %d entries for %d gears", n, len(s.Gears)), ErrImpossible)
	default:
		s.FinalDrive = w.finalByGear[n-1]
		for i := range s.Gears {
			s.Gears[i] *= w.finalByGear[i] / s.FinalDrive
		}
	}
}

// extend repeats the last entry until the list has n; a list with more stays, less
// entries than asked for beyond the gears do not arise.
func extend(list []float64, n int) []float64 {
	if len(list) == 0 {
		return list
	}
	list = slices.Clone(list)
	for len(list) < n {
		list = append(list, list[len(list)-1])
	}
	return list
}
