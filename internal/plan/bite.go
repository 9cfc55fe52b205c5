package plan

import (
	"context"
	"fmt"
	"strings"
)

// clutchBite is the gearbox's limit while the clutch slips.
const clutchBite = "gearbox torque, clutch closing"

// biteBlur is the spread of a clutch's bite about its rating, 1; common practice,
// no source.
const biteBlur = 0.08

// tellDraws is how many passes stand behind the chances that are told of settings as they are.
const tellDraws = 200

// asRun says what the car exceeds as it was run last, whatever is set: with the same figures
// whether settings are searched or chosen by a hand.
func (s *search) asRun(ctx context.Context, x settings) []string {
	was := s.judge(ctx, s.lastRun(x), s.told)
	return s.standing(&was)
}

// holdRun keeps how often the settings last run, v, would pass the limits that no channel shows,
// by what is not known of them and the luck of a pass: repeating them under that luck is no reason
// to refuse.
func (s *search) holdRun(v *verdict) {
	s.asHeld = map[string]asHeld{}
	for _, c := range v.kinds {
		if _, ok := s.unread[c.limit]; ok {
			s.asHeld[c.limit] = asHeld{kind: tail(c.z)}
		}
	}
	for _, c := range v.worst {
		if h, ok := s.asHeld[c.limit]; ok {
			h.gear = max(h.gear, tail(c.z))
			s.asHeld[c.limit] = h
		}
	}
}

// asHeld are the tails, 0–1, that the settings last run have of a limit: of the pass, whichever
// gear is nearest, and of the gear that comes nearest to it.
type asHeld struct{ kind, gear float64 }

// standing finds whether the clutch's bite is over the gearbox's limit already as the
// car was run. Then it is told first, with what to do about it, and not held against the
// plan: what a clutch passes is a matter of clutch and foot, hardly of boost. Else it is a
// hard limit like the others.
func (s *search) standing(was *verdict) (told []string) {
	var gears []string
	least, most := 1.0, 0.0
	for _, l := range was.worst {
		if l.limit == clutchBite && l.chance > 0.1*hardChance {
			s.bites = true
			gears = append(gears, fmt.Sprint(l.gear))
			least, most = min(least, l.chance), max(most, l.chance)
		}
	}
	was.hard = s.sum(was.kinds)
	if len(gears) == 0 {
		return nil
	}
	chance := Percent(most)
	if low := Percent(least); low != chance {
		chance = low + " to " + chance
	}
	return []string{fmt.Sprintf("as the clutch closes into %s it may pass more than the gearbox's limit, whatever the boost (chance %s a pass, by the clutch's rating): %s",
		listed(gears), chance, s.softer(was))}
}

// clampRoom is by how much, 1, a clutch must hold more than the engine asks of it so as not
// to slip in the pull; common practice, no source.
const clampRoom = 1.1

// softer says what to do about a clutch that bites beyond the gearbox's limit.
func (s *search) softer(was *verdict) string {
	l := s.m.Sheet.Limits.GearboxTorque
	asked := 0.0 // 1, highest share of the gearbox's limit that the engine asks for
	for g, v := range was.gears {
		if n := len(l); n > 0 && l[min(g, n-1)] > 0 {
			asked = max(asked, v.input/l[min(g, n-1)])
		}
	}
	clamp := ""
	if clampRoom*asked < 1 {
		clamp = fmt.Sprintf(", or set it to clamp no more than that limit (the engine itself asks %s of it)", Percent(asked))
	}
	return "let it in more softly" + clamp + "; look at the gearbox oil for metal before the car goes out"
}

// listed joins gears as one says them: "gears 1, 2 and 3".
func listed(gears []string) string {
	if n := len(gears) - 1; n > 0 {
		return "gears " + strings.Join(gears[:n], ", ") + " and " + gears[n]
	}
	return "gear " + gears[0]
}

// excused tells whether a limit is told first and not held against the plan.
func (s *search) excused(l limitChance) bool { return s.bites && l.limit == clutchBite }
