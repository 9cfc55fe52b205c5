package car

import (
	"fmt"
	"strings"

	"traplight/internal/quantity"
)

// Describe tells in plain text what was read from a sheet, what was assumed for want
// of better, what else would help, and what was not understood; what the sheet does not
// state in metric keys, or in those of a shop that thinks in pounds, inches and psi.
func Describe(s *Sheet, us bool) string {
	own := func(remark string) string {
		if us {
			return RetellKeys(remark)
		}
		return remark
	}
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s read from %s", s.Name, quantity.Count(len(s.Read), "key", "keys"), s.File)
	if s.Revision != "" {
		fmt.Fprintf(&b, ", revision %s", s.Revision)
	}
	if s.ValidFrom != "" {
		fmt.Fprintf(&b, ", valid from %s", s.ValidFrom)
	}
	b.WriteString("\n")
	if len(s.Notes) > 0 {
		b.WriteString("\nTo look at:\n")
		for _, n := range s.Notes {
			b.WriteString("  " + n + "\n")
		}
	}
	b.WriteString("\nRead:\n")
	w := &written{tyre: map[string]*wheelText{}}
	fields := sheetFields(&Sheet{}, w)
	last := ""
	for _, r := range s.Read {
		if r.Table != last {
			fmt.Fprintf(&b, "  [%s]\n", r.Table)
			last = r.Table
		}
		indent := "  "
		if r.Table != "" {
			indent = "    "
		}
		fmt.Fprintf(&b, "%s%s = %s%s\n", indent, r.Key, r.Text, spread(fields, s, r))
	}
	if len(s.Assumed) > 0 {
		b.WriteString("\nAssumed, for want of better:\n")
		for _, a := range s.Assumed {
			b.WriteString("  " + own(a) + "\n")
		}
	}
	if help := wouldHelp(fields, s.Read); len(help) > 0 {
		b.WriteString("\nWould help, if you know it:\n")
		for _, h := range help {
			b.WriteString("  " + own(h) + "\n")
		}
	}
	return b.String()
}

// spread shows the standard deviation of a stated estimate in the unit in which it was
// written.
func spread(fields []field, s *Sheet, r Reading) string {
	sp, ok := spellings(fields, r.Table)[r.Key]
	if !ok || sp.sd {
		return ""
	}
	// The same field of the sheet itself holds the spread that is in force.
	own := sheetFields(s, &written{tyre: map[string]*wheelText{}})
	for i := range own {
		e, isEstimate := own[i].dst.(*quantity.Estimate)
		if own[i].table == sp.f.table && own[i].mainKey() == sp.f.mainKey() && isEstimate && e.SD > 0 {
			_, sd, _ := strings.Cut(plusMinus(0, e.SD/sp.unit.factor), "± ")
			return "  (± " + sd + ")"
		}
	}
	return ""
}

// instead names keys that make another one needless.
var instead = map[string][]string{
	"final_drive":             {"final_drive_by_gear"},
	"size":                    {"unloaded_radius_m", "rolling_radius_m", "rolling_circumference_m"},
	"unloaded_radius_m":       {"rolling_radius_m", "rolling_circumference_m"},
	"speed_symbol":            {"speed_limit_kmh", "tyre_speed_kmh"},
	"usual_boost_kpa_by_gear": {"usual_boost_kpa"},
	"injectors_total_flow_l_min": {
		"injector_flow_each_l_min"},
	"fuel_pumps_total_flow_l_h": {"fuel_pump_flow_each_l_h"},
}

// wouldHelp lists keys that were not stated and what each would bring.
func wouldHelp(fields []field, read []Reading) []string {
	have := map[string]bool{}
	for _, r := range read {
		if sp, ok := spellings(fields, r.Table)[r.Key]; ok {
			have[sp.f.mainKey()] = true
		}
	}
	var out []string
next:
	for _, f := range inOrder(fields) {
		k := f.mainKey()
		if f.help == "" || have[k] {
			continue
		}
		for _, other := range instead[k] {
			if have[other] {
				continue next
			}
		}
		out = append(out, fmt.Sprintf("[%s] %s: %s", f.table, k, f.help))
	}
	return out
}

// Defaults tells which figures are assumed for a car whose sheet says only which
// axle is driven, and how far stated figures are taken to be right.
func Defaults() string {
	var b strings.Builder
	b.WriteString("Stated figures are taken to be right within these standard deviations, unless a key with _sd says otherwise:\n")
	for _, f := range inOrder(sheetFields(&Sheet{}, &written{tyre: map[string]*wheelText{}})) {
		if f.table == "tyres" && prefixed(f.stems[0]) {
			continue
		}
		if _, ok := f.dst.(*quantity.Estimate); !ok || f.rel == 0 && f.abs == 0 {
			continue
		}
		var parts []string
		if f.rel > 0 {
			parts = append(parts, fmt.Sprintf("%.3g %%", 100*f.rel))
		}
		if f.abs > 0 {
			u := f.dim.units[0]
			parts = append(parts, strings.TrimSpace(fmt.Sprintf("%.3g %s", f.abs/u.factor, u.suffix)))
		}
		fmt.Fprintf(&b, "  [%s] %s: %s\n", f.table, f.mainKey(), strings.Join(parts, " and "))
	}
	for _, d := range []Driven{FrontDriven, RearDriven, AllDriven} {
		s, err := ParseSheet("", fmt.Appendf(nil, "name = \"x\"\n[driveline]\ndriven = %q\n", d))
		if err != nil {
			panic("car: the sheet of defaults does not parse: " + err.Error())
		}
		fmt.Fprintf(&b, "\nAssumed for a car with driven = %q, when nothing else is stated:\n", d)
		for _, a := range s.Assumed {
			b.WriteString("  " + a + "\n")
		}
	}
	return b.String()
}
