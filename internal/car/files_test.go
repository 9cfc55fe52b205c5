package car

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// badFiles pairs each bad file with the exact message.
var badFiles = map[string]string{
	"notes_boost_both":        ":1: [[planned]]: state either boost_add or boost_target by gear, not both",
	"notes_bracket":           ":1: expected ']]' to close array table name",
	"notes_humidity":          ":3: [[pass]] humidity_pct: 140 is not possible; it must lie from 0 to 100",
	"notes_index":             ":3: [[pass]] index: -1 is not possible; it must lie from 0 to 1000",
	"notes_nitrous":           ":3: [[pass]] nitrous: must be true or false, not text",
	"notes_pass_is_text":      ":1: pass: must be tables headed [[pass]], not text",
	"notes_same_pass":         ":4: [[pass]]: file \"A.csv\", index 0 is noted in line 1 already",
	"notes_slip_order":        ":4: [[pass]]: the slip gives 12.7 s at 1/2 mile but 18.2 s at 1/4 mile",
	"notes_trap":              ":1: [[strip]]: the trap is longer than the strip",
	"sheet_body_is_number":    ":1: body: must be a table headed [body], not a number",
	"sheet_boost_list":        ":5: [engine] usual_boost_kpa_by_gear: has 4 boost targets for 3 gears",
	"sheet_boost_not_numbers": ":2: [engine] usual_boost_kpa_by_gear: must be a list of numbers; one entry is text",
	"sheet_channel":           ":2: [channels] \"EGT 1\": must be text between quotes, not a number",
	"sheet_cylinders_broken":  ":2: [engine] cylinders: 5.5 is not a whole number",
	"sheet_decimal_comma":     ":2: expected newline but got ','; decimals are written with a point, as in 0.72",
	"sheet_driven":            ":2: [driveline] driven: \"middle\" is not one of front, rear, all",
	"sheet_duty":              ":2: [limits] max_injector_duty: 90 is not possible; it must be more than 0 and at most 1; 90 % is written 0.9",
	"sheet_final_drives":      ":3: [driveline] final_drive_by_gear: has 2 entries for 3 gears",
	"sheet_gears_rise":        ":2: [driveline] gears: gear 3 (1.99) must have a smaller overall ratio than gear 2 (1.95); list them from first gear on",
	"sheet_mass_is_text":      ":2: [body] mass_kg: must be a number, not text",
	"sheet_nan":               ":2: [body] mass_kg: must be a finite number",
	"sheet_negative_mass":     ":2: [body] mass_kg: -1243 is not possible; it must be more than 0",
	"sheet_no_quotes":         ":2: unexpected character 'g' at start of value; text is written between quotes",
	"sheet_pump_curve":        ":3: [engine] fuel_pumps_rated_at_bar: has a pressure for 2 of 3 flows; state one for each",
	"sheet_pump_rises":        ":3: [engine] fuel_pumps_rated_at_psi: a pump brings less against more pressure; state each flow at its own pressure",
	"sheet_same_key_twice":    ":3: key mass_kg is already defined",
	"sheet_sd_negative":       ":3: [body] mass_sd_kg: a standard deviation cannot be negative",
	"sheet_share_over_one":    ":2: [body] front_weight_share: 53 is not possible; it must lie from 0.05 to 0.95; 53 % is written 0.53",
	"sheet_symbol":            ":2: [tyres] speed_symbol: \"fast\" is not a speed symbol such as V, W, Y or (Y)",
	"sheet_twice":             ":4: [body] mass_lb: the same thing is stated in line 2 as mass_kg",
	"sheet_wet_and_dry":       ":4: [nitrous] dry: contradicts kind",
	"sheet_valid_from":        ":1: valid_from: \"last spring\" is not a date such as 2031-05-17 or 2031-05-17 10:21",
}

func load(name string) (notes []string, strict, err error) {
	path := filepath.Join("testdata", name)
	if strings.HasPrefix(name, "notes_") {
		n, err := LoadNotes(path)
		if err != nil {
			return nil, nil, err
		}
		return n.Notes, n.StrictErr(), nil
	}
	s, err := LoadSheet(path)
	if err != nil {
		return nil, nil, err
	}
	return s.Notes, s.StrictErr(), nil
}

func TestFiles(t *testing.T) {
	all, err := os.ReadDir("testdata")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range all {
		name := f.Name()
		switch {
		case strings.HasSuffix(name, ".good.toml"):
			notes, strict, err := load(name)
			if err != nil {
				t.Errorf("%v", err)
			}
			if !strings.Contains(name, "typos") && (len(notes) > 0 || strict != nil) {
				t.Errorf("%s: notes %q, strict %v", name, notes, strict)
			}
		case strings.HasSuffix(name, ".bad.toml"):
			_, _, err := load(name)
			want, listed := badFiles[strings.TrimSuffix(name, ".bad.toml")]
			var e *Error
			switch {
			case err == nil:
				t.Errorf("%s was read without complaint", name)
			case !listed:
				t.Errorf("%s is not listed; it says:\n%q", name, err)
			case err.Error() != name+want:
				t.Errorf("%s says\n%q, want\n%q", name, err, name+want)
			case !errors.As(err, &e) || e.Kind == nil || e.Line == 0:
				t.Errorf("%s: the error has no place or kind: %#v", name, err)
			}
		}
	}
}
