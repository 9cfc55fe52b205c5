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
	was.hard = s.sum(was.kinds)
	if len(told) > 2 {
		told = []string{fmt.Sprintf("while the clutch closes, the gearbox's limit is passed in %d gears as the car is run, by the clutch's rating, whatever the boost (chances under limits)", len(told))}
	}
	return told
}

// excused tells whether a limit is told first and not held against the plan.
func (s *search) excused(l limitChance) bool { return s.bites && l.limit == clutchBite }
