package car

import (
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"traplight/internal/quantity"
)

// LoadSheet reads a car sheet. Unknown keys do not stop it: they are in Unread,
// and told in Notes. An error is an *Error with the place, or the file system's.
func LoadSheet(path string) (*Sheet, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseSheet(name, data)
}

// ParseSheet reads the text of a car sheet; name serves in messages.
func ParseSheet(name string, data []byte) (*Sheet, error) {
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
	if r.err == nil {
		s.finish(w, r)
	}
	if r.err != nil {
		return nil, r.err
	}
	s.Unread, s.Read = r.unread, r.read
	slices.SortStableFunc(s.Unread, func(a, b Unread) int { return a.Line - b.Line })
	s.Notes = append(s.Notes, sentences(name, s.Unread)...)
	s.Notes = append(s.Notes, r.notes...)
	return s, nil
}

// StrictErr is nil when every key of the sheet was understood; else it names each
// one that was not, with its line. What sets the next pass refuses such a sheet.
func (s *Sheet) StrictErr() error { return strictErr(s.File, s.Unread) }

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
	at := r.at[&s.Gears]
	if n := len(w.finalByGear); n > 0 {
		f := r.at[&w.finalByGear]
		if s.FinalDrive != 0 {
			r.fail(f.Line, "[driveline] "+f.Key, "state either final_drive or final_drive_by_gear", ErrImpossible)
			return
		}
		if n != len(s.Gears) {
			r.fail(f.Line, "[driveline] "+f.Key, fmt.Sprintf("has %d entries for %d gears", n, len(s.Gears)), ErrImpossible)
			return
		}
		s.FinalDrive = w.finalByGear[n-1]
		for i := range s.Gears {
			s.Gears[i] *= w.finalByGear[i] / s.FinalDrive
		}
	}
	if w.primary > 0 && s.FinalDrive > 0 {
		s.FinalDrive *= w.primary
	}
	for i := 1; i < len(s.Gears); i++ {
		if s.Gears[i] >= s.Gears[i-1] {
			r.fail(at.Line, "[driveline] "+at.Key, fmt.Sprintf("gear %d (%.4g) must have a smaller overall ratio than gear %d (%.4g); list them from first gear on", i+1, s.Gears[i], i, s.Gears[i-1]), ErrImpossible)
			return
		}
	}
	if len(s.Gears) == 0 {
		s.assume("gears: none stated, they are looked for in the log")
	}
	if s.FinalDrive == 0 {
		s.assume("final_drive: not stated, overall ratios are looked for in the log")
	}
	for _, l := range []struct {
		list any
		n    int
		what string
	}{{&s.UsualBoost, len(s.UsualBoost), "boost targets"}, {&s.Limits.GearboxTorque, len(s.Limits.GearboxTorque), "torque limits"}} {
		if g := len(s.Gears); g > 0 && l.n > g {
			f := r.at[l.list]
			r.fail(f.Line, "["+f.Table+"] "+f.Key, fmt.Sprintf("has %d %s for %d gears", l.n, l.what, g), ErrImpossible)
		}
	}
	if g, n := len(s.Gears), len(s.UsualShiftSpeed); g > 0 && n > g {
		f := r.at[&s.UsualShiftSpeed]
		r.fail(f.Line, "[engine] "+f.Key, fmt.Sprintf("has %d shift speeds for %d shifts", n, g-1), ErrImpossible)
	}
	// One figure, or too few, holds on for the gears above.
	s.UsualBoost = extend(s.UsualBoost, len(s.Gears))
	s.UsualShiftSpeed = extend(s.UsualShiftSpeed, len(s.Gears)-1)
	s.Limits.GearboxTorque = extend(s.Limits.GearboxTorque, len(s.Gears))
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
