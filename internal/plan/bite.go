package plan

import "fmt"

// clutchBite is the gearbox's limit while the clutch slips.
const clutchBite = "gearbox torque, clutch closing"

// biteBlur is the spread of a clutch's bite about its rating, 1; common practice,
// no source.
const biteBlur = 0.08

// standing finds whether the clutch's bite is over the gearbox's limit already as the
// car was run. Then it is told first, gear by gear, and not held against the plan: what
// a clutch passes is a matter of clutch and foot, hardly of boost. Else it is a hard
// limit like the others.
func (s *search) standing(was *verdict) (told []string) {
	for _, l := range was.worst {
		if l.limit == clutchBite && l.chance > 0.1*hardChance {
			s.bites = true
			told = append(told, fmt.Sprintf("while the clutch closes into %d the gearbox's limit is passed with a chance of %s a pass, by the clutch's rating, whatever the boost", l.gear, Percent(l.chance)))
		}
	}
	was.hard = s.sum(was.worst)
	if len(told) > 2 {
		told = []string{fmt.Sprintf("while the clutch closes, the gearbox's limit is passed in %d gears as the car is run, by the clutch's rating, whatever the boost (chances under limits)", len(told))}
	}
	return told
}

// sum is the chance, 0–1, of exceeding any hard limit. Limits of different kinds add
// up (Bonferroni). The gears of one kind share what is not known of it, so that they
// mostly pass it together: the worst of them counts whole, the others by a quarter.
func (s *search) sum(ls []limitChance) float64 {
	worst, all := map[string]float64{}, map[string]float64{}
	var kinds []string
	for _, l := range ls {
		if s.excused(l) {
			continue
		}
		if _, ok := all[l.limit]; !ok {
			kinds = append(kinds, l.limit)
		}
		worst[l.limit] = max(worst[l.limit], l.chance)
		all[l.limit] += l.chance
	}
	hard := 0.0
	for _, k := range kinds {
		hard += worst[k] + 0.25*(all[k]-worst[k])
	}
	return min(1, hard)
}

func (s *search) excused(l limitChance) bool { return s.bites && l.limit == clutchBite }
