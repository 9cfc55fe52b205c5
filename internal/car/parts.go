package car

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"traplight/internal/quantity"
)

// Load is what wears a part.
type Load string

// The loads that a log can tell.
const (
	CrankTorque   Load = "crank torque"
	GearboxTorque Load = "gearbox torque" // at the input shaft
	HubTorque     Load = "hub torque"     // sum of the driven hubs
	EngineSpeed   Load = "engine speed"
	TurboSpeed    Load = "turbo speed"
	Boost         Load = "boost"
	ExhaustTemp   Load = "exhaust temperature"
)

// Dimension is that of the load; torque where it is none that is known.
func (l Load) Dimension() quantity.Dimension {
	switch l {
	case EngineSpeed, TurboSpeed:
		return quantity.DimRotation
	case Boost:
		return quantity.DimPressure
	case ExhaustTemp:
		return quantity.DimTemperature
	}
	return quantity.DimTorque
}

// PartEntry is one part by its serial number, as the parts file states it.
type PartEntry struct {
	Serial, Name, Kind, Car string    // Kind groups parts of one make for the estimate of life
	Installed, Removed      string    // local date or date and time; "" not stated
	Load                    Load      // "" none: only passes and time count
	Gears                   []int     // gears whose load it bears; nil all
	Revolutions             bool      // a load cycle for every turn of the input shaft, as gear teeth have it; else rainflow
	Material                string    // names the S–N slope, see Slopes
	Slope                   float64   // 1, S–N slope against torque; 0 not stated
	Reference               float64   // N·m, range that is borne Cycles times; 0 not stated
	Cycles                  float64   // 1
	DueDamage               float64   // 1, Miner's sum at which it is due; 0 takes the usual
	DuePasses               int       // 0 not stated
	DueTime                 float64   // s at full throttle; 0 not stated
	Over                    float64   // SI unit of Load; 0 no limit
	Levels                  []float64 // SI unit of Load, from the lowest
	PassesBefore            int       // passes before the logs begin
	DamageBefore            float64   // 1, Miner's sum before the logs begin
	Failed                  bool      // it was removed because it failed
	Beta                    float64   // 1, Weibull slope to assume; 0 takes the usual
	Text                    string
	Inspections             []Inspection
	Line                    int // where the entry begins in the file
}

// Inspection is a look at a part.
type Inspection struct {
	Serial, When, Found string
	Line                int
}

// Parts is a whole parts file.
type Parts struct {
	Parts  []PartEntry
	Notes  []string // unread keys and oddities, a sentence each
	Unread []Unread // keys that are not known; StrictErr refuses them
	File   string   // the file's name, without folder
}

// Slopes are S–N slopes by what breaks how, 1, for torque. Gear teeth: ISO 6336-6, as its
// life factors of parts 2 and 3 give them; bearings: ISO 281; welds: textbooks (from memory).
var Slopes = map[string]float64{
	"tooth flank, case-hardened": 6.610, "tooth flank, through-hardened": 6.610, "tooth flank, nitrided": 5.709, "tooth flank, nitrocarburised": 15.715,
	"tooth root, case-hardened": 8.738, "tooth root, through-hardened": 6.225, "tooth root, nitrided": 17.035, "tooth root, nitrocarburised": 84.003,
	"ball bearing": 3, "roller bearing": 10.0 / 3, "welded steel": 3,
}

// LoadParts reads a parts file. Unknown keys do not stop it: they are in Unread, and told in
// Notes. An error is an *Error with the place, or the file system's.
func LoadParts(path string) (*Parts, error) {
	name, data, err := loadFile(path)
	if err != nil {
		return nil, err
	}
	return ParseParts(name, data)
}

// ParseParts reads the text of a parts file; name serves in messages.
func ParseParts(name string, data []byte) (*Parts, error) {
	doc, err := parseTOML(name, data)
	if err != nil {
		return nil, err
	}
	r := newReader(doc)
	out := &Parts{File: name}
	b := &notesReader{r: r}
	b.each("part", func(values map[string]any, path []string, label string, line int) {
		out.Parts = append(out.Parts, r.part(values, path, label, line))
	})
	var looks []Inspection
	b.each("inspection", func(values map[string]any, path []string, label string, line int) {
		i := Inspection{Line: line}
		r.table(values, path, inspectionFields(&i), "", label)
		looks = append(looks, i)
	})
	for _, k := range r.byLine(doc.root, nil) {
		if k == "part" || k == "inspection" {
			continue
		}
		u := Unread{Line: doc.line(k), Key: k}
		if best, ok := nearestOf(k, []string{"part", "inspection"}); ok {
			u.Nearest = "[[" + best + "]]"
		}
		r.unread = append(r.unread, u)
	}
	out.join(r, looks)
	if err := joined(r.complaints()); err != nil {
		return nil, err
	}
	out.Unread = r.unread
	slices.SortStableFunc(out.Unread, func(a, b Unread) int { return a.Line - b.Line })
	out.Notes = append(out.Notes, sentences(name, out.Unread)...)
	out.Notes = append(out.Notes, r.notes...)
	return out, nil
}

// StrictErr is nil when every key of the file was understood.
func (p *Parts) StrictErr() error { return strictErr(p.File, p.Unread) }

// join gives each inspection to its part, and refuses serial numbers that stand twice.
func (p *Parts) join(r *reader, looks []Inspection) {
	seen := map[string]int{}
	for _, x := range p.Parts {
		if first, twice := seen[x.Serial]; twice {
			r.fail(x.Line, "[[part]]", fmt.Sprintf("the serial number %q is used in line %d already", x.Serial, first), ErrImpossible)
		}
		seen[x.Serial] = x.Line
	}
	for _, l := range looks {
		found := false
		for i := range p.Parts {
			if p.Parts[i].Serial == l.Serial {
				p.Parts[i].Inspections = append(p.Parts[i].Inspections, l)
				found = true
			}
		}
		if !found {
			r.fail(l.Line, "[[inspection]]", fmt.Sprintf("no [[part]] has the serial number %q", l.Serial), ErrImpossible)
		}
	}
}

// Ran tells whether the part was in the car at a time (a local date or date and time).
// sure is false when the time cannot be read, or a date leaves it open whether before or
// after a change of that day.
func (p *PartEntry) Ran(when string) (in, sure bool) {
	at, known := parseWhen(when)
	from, hasFrom := parseWhen(p.Installed)
	to, hasTo := parseWhen(p.Removed)
	if !known {
		return true, !hasFrom && !hasTo
	}
	day := func(text string) bool { return len(strings.TrimSpace(text)) == len("2006-01-02") }
	if hasFrom && at.Before(from) {
		// A pass with a date only, on the day of installing, may have been after it.
		return day(when) && sameDay(at, from), !(day(when) && sameDay(at, from))
	}
	if hasTo {
		if day(p.Removed) {
			to = to.Add(24*time.Hour - time.Second)
		}
		if at.After(to) {
			return false, true
		}
	}
	return true, true
}

func sameDay(a, b time.Time) bool { return a.Format("2006-01-02") == b.Format("2006-01-02") }
