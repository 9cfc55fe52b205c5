package turbomap

import (
	"bufio"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"traplight/internal/quantity"
)

// Error is a complaint about a map's file, with its place.
type Error struct {
	File string
	Line int // from 1; 0 for the whole file
	Text string
}

// Error gives "file:line: text".
func (e *Error) Error() string {
	if e.Line == 0 {
		return e.File + ": " + e.Text
	}
	return fmt.Sprintf("%s:%d: %s", e.File, e.Line, e.Text)
}

// sheet is a small table: named columns in SI units, and the settings of its # lines.
type sheet struct {
	file     string
	column   map[string][]float64 // by role; NaN where a cell is empty
	line     []int                // of each row
	settings map[string]float64   // SI

	tipSpeed, volumeFlow bool // the units of speed and flow
}

const (
	maxBytes = 2 << 20 // of a map file
	maxRows  = 5000
)

// role is one thing that a column may hold.
type role struct {
	name  string
	words []string // any of them in the heading, lower case
	dims  []quantity.Dimension
	need  bool
}

// settingKeys are the keys of # lines with the unit that their ending states.
var settingKeys = map[string]struct{ factor, offset float64 }{
	"reference_temperature_k": {1, 0}, "reference_temperature_c": {1, 273.15}, "reference_temperature_f": {5.0 / 9, 273.15 - 32*5.0/9},
	"reference_pressure_kpa": {1e3, 0}, "reference_pressure_hpa": {100, 0}, "reference_pressure_bar": {1e5, 0}, "reference_pressure_pa": {1, 0},
	"reference_pressure_psi": {6894.757293168361, 0}, "reference_pressure_inhg": {3386.38864, 0},
	"wheel_diameter_mm": {1e-3, 0}, "wheel_diameter_m": {1, 0}, "wheel_diameter_in": {0.0254, 0},
	"efficiency": {1, 0}, "efficiency_pct": {0.01, 0},
}

// readSheet reads the text: # lines with "key = value", one heading line, rows.
func readSheet(name string, in io.Reader, roles []role) (*sheet, error) {
	s := &sheet{file: name, column: map[string][]float64{}, settings: map[string]float64{}}
	scan := bufio.NewScanner(io.LimitReader(in, maxBytes+1))
	scan.Buffer(make([]byte, 0, 64<<10), maxBytes)
	var place []int // role of each column, -1 for none
	var units []quantity.Unit
	sep := ","
	n := 0
	read := 0
	for scan.Scan() {
		n++
		text := strings.TrimSpace(strings.TrimPrefix(scan.Text(), "\ufeff"))
		if read += len(text); read > maxBytes || len(s.line) > maxRows {
			return nil, &Error{name, n, "the file is too long for a map"}
		}
		switch {
		case text == "":
		case strings.HasPrefix(text, "#"):
			if err := s.setting(n, text[1:]); err != nil {
				return nil, err
			}
		case place == nil:
			sep = separator(text)
			var err error
			if place, units, err = headings(name, n, split(text, sep), roles); err != nil {
				return nil, err
			}
			for i, r := range place {
				s.tipSpeed = s.tipSpeed || r >= 0 && units[i].Dim == quantity.DimSpeed
				s.volumeFlow = s.volumeFlow || r >= 0 && units[i].Dim == quantity.DimVolumeFlow
			}
		default:
			if err := s.row(n, split(text, sep), sep, place, units, roles); err != nil {
				return nil, err
			}
		}
	}
	if err := scan.Err(); err != nil {
		return nil, &Error{name, n + 1, "the line cannot be read: " + err.Error()}
	}
	if place == nil {
		return nil, &Error{name, 0, "no heading line found; a map needs one, such as " + exampleHeading(roles)}
	}
	if len(s.line) == 0 {
		return nil, &Error{name, 0, "there are no points below the heading"}
	}
	return s, nil
}

// setting reads "key = value"; any other remark is passed over.
func (s *sheet) setting(line int, text string) error {
	k, v, ok := strings.Cut(text, "=")
	k = strings.ToLower(strings.TrimSpace(k))
	f, known := settingKeys[k]
	if !ok || !known {
		return nil
	}
	x, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(v), ",", "."), 64)
	if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
		return &Error{s.file, line, fmt.Sprintf("%s must be a number, not %q", k, strings.TrimSpace(v))}
	}
	stem := k[:strings.LastIndexByte(k, '_')+1]
	if strings.HasPrefix(k, "efficiency") {
		stem = "efficiency_"
	}
	s.settings[strings.TrimSuffix(stem, "_")] = x*f.factor + f.offset
	return nil
}

// separator takes the commonest of semicolon, tab and comma in the heading.
func separator(text string) string {
	best, count := ",", strings.Count(text, ",")
	for _, c := range []string{";", "\t"} {
		if k := strings.Count(text, c); k > 0 && k >= count {
			best, count = c, k
		}
	}
	return best
}

func split(text, sep string) []string {
	cells := strings.Split(text, sep)
	for i := range cells {
		cells[i] = strings.Trim(strings.TrimSpace(cells[i]), `"`)
	}
	return cells
}

func headings(file string, line int, cells []string, roles []role) ([]int, []quantity.Unit, error) {
	place, units := make([]int, len(cells)), make([]quantity.Unit, len(cells))
	taken := map[int]string{}
	for i, c := range cells {
		place[i] = -1
		name, unit := c, ""
		if k := strings.IndexAny(c, "[("); k >= 0 {
			name, unit = c[:k], strings.Trim(c[k:], "[]() ")
		}
		name = strings.ToLower(name)
		for r := range roles {
			if !hasWord(name, roles[r].words) {
				continue
			}
			if old, twice := taken[r]; twice {
				return nil, nil, &Error{file, line, fmt.Sprintf("two columns hold the %s: %q and %q", roles[r].name, old, c)}
			}
			u, ok := quantity.ParseUnit(unit)
			if unit == "" && roles[r].dims[0] == quantity.DimNumber {
				u, ok = quantity.Unit{Factor: 1}, true
			}
			if !ok || !among(roles[r].dims, u.Dim) {
				return nil, nil, &Error{file, line, fmt.Sprintf("column %q needs a unit in brackets, as in %s", c, exampleHeading(roles[r:r+1]))}
			}
			place[i], units[i], taken[r] = r, u, c
			break
		}
	}
	for r := range roles {
		if _, ok := taken[r]; roles[r].need && !ok {
			return nil, nil, &Error{file, line, fmt.Sprintf("no column for the %s; the heading may be %s", roles[r].name, exampleHeading(roles))}
		}
	}
	return place, units, nil
}

func hasWord(name string, words []string) bool {
	for _, w := range words {
		if strings.Contains(name, w) {
			return true
		}
	}
	return false
}

func among(dims []quantity.Dimension, d quantity.Dimension) bool {
	for _, x := range dims {
		if x == d {
			return true
		}
	}
	return false
}

func exampleHeading(roles []role) string {
	unit := map[quantity.Dimension]string{quantity.DimRotation: " [rpm]", quantity.DimMassFlow: " [kg/s]"}
	var out []string
	for _, r := range roles {
		out = append(out, r.name+unit[r.dims[0]])
	}
	return `"` + strings.Join(out, ", ") + `"`
}

func (s *sheet) row(line int, cells []string, sep string, place []int, units []quantity.Unit, roles []role) error {
	if len(cells) > len(place) {
		return &Error{s.file, line, fmt.Sprintf("%d cells where the heading has %d columns; decimals are written with a point, or with a comma between semicolons", len(cells), len(place))}
	}
	s.line = append(s.line, line)
	for i, r := range place {
		if r < 0 {
			continue
		}
		v := math.NaN()
		if i < len(cells) && cells[i] != "" {
			t := cells[i]
			if sep != "," {
				t = strings.ReplaceAll(t, ",", ".")
			}
			x, err := strconv.ParseFloat(t, 64)
			if err != nil || math.IsInf(x, 0) || math.IsNaN(x) {
				return &Error{s.file, line, fmt.Sprintf("column %d, the %s: %q is not a number", i+1, roles[r].name, cells[i])}
			}
			v = units[i].SI(x)
		}
		if math.IsNaN(v) && roles[r].need {
			return &Error{s.file, line, fmt.Sprintf("column %d, the %s, is empty", i+1, roles[r].name)}
		}
		s.column[roles[r].name] = append(s.column[roles[r].name], v)
	}
	return nil
}
