package car

import (
	"fmt"
	"slices"
	"strings"
)

// byUnit gathers what one key may state in several dimensions.
type byUnit struct {
	torque, speed, boost, temp float64   // N·m, rad/s, Pa gauge, K
	torques, speeds            []float64 // N·m, rad/s
	boosts, temps              []float64 // Pa gauge, K
}

// of is the figure that belongs to a load; ok is false when another one was stated.
func (u *byUnit) of(l Load) (v float64, list []float64, ok bool) {
	stated := 0
	for _, x := range []float64{u.torque, u.speed, u.boost, u.temp} {
		if x != 0 {
			stated++
		}
	}
	for _, x := range [][]float64{u.torques, u.speeds, u.boosts, u.temps} {
		if x != nil {
			stated++
		}
	}
	switch l {
	case CrankTorque, GearboxTorque, HubTorque:
		v, list = u.torque, u.torques
	case EngineSpeed, TurboSpeed:
		v, list = u.speed, u.speeds
	case Boost:
		v, list = u.boost, u.boosts
	case ExhaustTemp:
		v, list = u.temp, u.temps
	}
	own := 0
	if v != 0 {
		own++
	}
	if list != nil {
		own++
	}
	return v, list, own == stated
}

var loads = []string{string(CrankTorque), string(GearboxTorque), string(HubTorque), string(EngineSpeed), string(TurboSpeed), string(Boost), string(ExhaustTemp)}

func (r *reader) part(values map[string]any, path []string, label string, line int) PartEntry {
	p := PartEntry{Line: line}
	var over, levels byUnit
	var load, counting string
	r.table(values, path, partFields(&p, &load, &counting, &over, &levels), "", label)
	bad := func(format string, args ...any) { r.fail(line, label, fmt.Sprintf(format, args...), ErrImpossible) }
	p.Load = Load(strings.ToLower(load))
	if p.Serial == "" {
		bad("the part has no serial number")
	}
	if p.Kind == "" {
		p.Kind = p.Name
	}
	p.Revolutions = strings.EqualFold(counting, "revolutions")
	if p.Material != "" {
		s, ok := Slopes[strings.ToLower(p.Material)]
		switch {
		case !ok && p.Slope == 0:
			bad("material %q has no known slope; state slope, or one of: %s", p.Material, strings.Join(materials(), "; "))
		case p.Slope == 0:
			p.Slope = s
		}
	}
	torque := p.Load == CrankTorque || p.Load == GearboxTorque || p.Load == HubTorque
	switch {
	case (p.Slope > 0 || p.Reference > 0) && !torque:
		bad("damage is counted for a torque: load must be crank torque, gearbox torque or hub torque")
	case p.Reference > 0 && (p.Cycles == 0 || p.Slope == 0):
		bad("a reference needs cycles, how often it is borne, and a slope or a material")
	case p.Cycles > 0 && p.Reference == 0:
		bad("cycles needs reference_nm, the torque that is borne so often")
	case p.Revolutions && p.Load != GearboxTorque && p.Load != CrankTorque:
		bad("counting by revolutions is for crank torque or gearbox torque")
	}
	var ok bool
	if p.Over, _, ok = over.of(p.Load); !ok {
		bad("over is not in the unit of the load %q", load)
	}
	if _, p.Levels, ok = levels.of(p.Load); !ok {
		bad("levels are not in the unit of the load %q", load)
	}
	slices.Sort(p.Levels)
	from, okFrom := parseWhen(p.Installed)
	to, okTo := parseWhen(p.Removed)
	switch {
	case p.Installed != "" && !okFrom:
		bad("installed = %q is not a date such as 2031-05-17", p.Installed)
	case p.Removed != "" && !okTo:
		bad("removed = %q is not a date such as 2031-05-17", p.Removed)
	case okFrom && okTo && to.Before(from):
		bad("it was removed before it was installed")
	}
	return p
}

func materials() []string {
	var out []string
	for k := range Slopes {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

func partFields(p *PartEntry, load, counting *string, over, levels *byUnit) []field {
	rev, boost, temp := dim{"speed of rotation", dimRev.units, ""}, dim{"gauge pressure", dimGauge.units, ""}, dim{"temperature", dimTemp.units, ""}
	return []field{
		{stems: []string{"serial"}, dst: &p.Serial, example: `"TX-14"`, doc: "its serial number, or what you call this very piece", basic: true},
		{stems: []string{"name"}, dst: &p.Name, example: `"third gear pair"`, doc: "what it is", basic: true},
		{stems: []string{"kind"}, dst: &p.Kind, example: `"third gear pair, make A"`, doc: "parts of one kind are pooled for the estimate of life; its name when not stated", basic: true},
		{stems: []string{"car"}, dst: &p.Car, example: `"my car"`, doc: "which car it is or was in; any when not stated", basic: true},
		{stems: []string{"installed"}, dst: &p.Installed, example: `"2031-03-02"`, doc: "from when it was in the car, local", basic: true},
		{stems: []string{"removed"}, dst: &p.Removed, example: `"2031-09-01"`, doc: "until when, local"},
		{stems: []string{"failed"}, dst: &p.Failed, example: "false", doc: "true when it was removed because it failed"},
		{stems: []string{"load"}, dst: load, words: loads, example: `"gearbox torque"`, doc: "what wears it", basic: true},
		{stems: []string{"gears"}, dst: &p.Gears, limits: between(1, 12), example: "[3]", doc: "gears in which it bears the load; all when not stated"},
		{stems: []string{"counting"}, dst: counting, words: []string{"rainflow", "revolutions"}, example: `"revolutions"`, doc: "rainflow counts the turns of the load; revolutions a cycle for each turn of the shaft, as gear teeth have it"},
		{stems: []string{"material"}, dst: &p.Material, example: `"tooth root, case-hardened"`, doc: "gives the S-N slope"},
		{stems: []string{"slope"}, dim: plain, dst: &p.Slope, limits: between(1, 100), likely: between(2.5, 20), example: "8.738", doc: "S-N slope against torque, instead of material"},
		{stems: []string{"reference"}, dim: dimTorque, dst: &p.Reference, limits: above(0), example: "900", doc: "torque that is borne cycles times, by the maker or your own test"},
		{stems: []string{"cycles"}, dim: plain, dst: &p.Cycles, limits: above(0), example: "2e5", doc: "how often"},
		{stems: []string{"due_damage"}, dim: plain, dst: &p.DueDamage, limits: limits{0, 10, true}, example: "0.3", doc: "sum of damage at which it is due; 0.3 when not stated"},
		{stems: []string{"due_passes"}, dst: &p.DuePasses, limits: between(1, 100000), example: "40", doc: "passes after which it is due", basic: true},
		{stems: []string{"due_time"}, dim: dimTime, dst: &p.DueTime, limits: above(0), example: "600", doc: "time at full throttle after which it is due"},
		{stems: []string{"over"}, dim: dimTorque, dst: &over.torque, limits: above(0), example: "1000", doc: "each time beyond this is counted"},
		{stems: []string{"over"}, dim: rev, dst: &over.speed, limits: above(0), example: "118000", doc: "the same for speeds"},
		{stems: []string{"over_boost"}, dim: boost, dst: &over.boost, limits: above(0), example: "280", doc: "the same for boost, gauge"},
		{stems: []string{"over_temp"}, dim: temp, dst: &over.temp, limits: above(0), example: "980", doc: "the same for temperatures"},
		{stems: []string{"levels"}, dim: dimTorque, dst: &levels.torques, limits: above(0), example: "[400, 600, 800]", doc: "time above each is told"},
		{stems: []string{"levels"}, dim: rev, dst: &levels.speeds, limits: above(0), example: "[7000, 8000]", doc: "the same for speeds"},
		{stems: []string{"levels_boost"}, dim: boost, dst: &levels.boosts, limits: above(0), example: "[150, 200]", doc: "the same for boost, gauge"},
		{stems: []string{"levels_temp"}, dim: temp, dst: &levels.temps, limits: above(0), example: "[900, 950]", doc: "the same for temperatures"},
		{stems: []string{"passes_before"}, dst: &p.PassesBefore, limits: between(0, 100000), example: "12", doc: "passes it had before the logs begin"},
		{stems: []string{"damage_before"}, dim: plain, dst: &p.DamageBefore, limits: between(0, 10), example: "0.05", doc: "sum of damage before the logs begin"},
		{stems: []string{"beta"}, dim: plain, dst: &p.Beta, limits: limits{0, 20, true}, likely: between(0.5, 6), example: "2.5", doc: "Weibull slope to assume while there are too few failures"},
		{stems: []string{"text", "note"}, dst: &p.Text, example: `"shot-peened"`, doc: "anything else"},
	}
}

func inspectionFields(i *Inspection) []field {
	return []field{
		{stems: []string{"serial"}, dst: &i.Serial, example: `"TX-14"`, doc: "the part's serial number", basic: true},
		{stems: []string{"when"}, dst: &i.When, example: `"2031-06-01"`, doc: "day", basic: true},
		{stems: []string{"found"}, dst: &i.Found, example: `"no cracks, flanks polished"`, doc: "what was found", basic: true},
	}
}
