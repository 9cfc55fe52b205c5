package demo

import "testing"

// Boost that falls towards the end of a gear brings speed and hardly more fuel flow, since a
// four-stroke takes air in proportion to pressure and engine speed; a course that is level is the
// plain target.
func TestCourse(t *testing.T) {
	c := RandomCar(16500)
	set := c.Usual()
	run := func(fall float64) Outcome {
		s := set.clone()
		for g, b := range s.Boost {
			w := s.ShiftSpeed[min(g, len(s.ShiftSpeed)-1)]
			if g > 0 {
				s.Courses = append(s.Courses, Course{[2]float64{0.78 * w, w}, [2]float64{b + fall, b}})
			} else {
				s.Courses = append(s.Courses, Course{})
			}
		}
		return Run(c, PassOptions{Settings: &s}, 5)
	}
	plain := Run(c, PassOptions{Settings: &set}, 5)
	level, falling := run(0), run(25e3)
	if level.Trap != plain.Trap || level.MaxDuty != plain.MaxDuty {
		t.Errorf("level: %.3f m/s, duty %.4f; plain %.3f, %.4f", level.Trap, level.MaxDuty, plain.Trap, plain.MaxDuty)
	}
	if falling.Trap < plain.Trap+0.2 || falling.MaxDuty > 1.03*plain.MaxDuty {
		t.Errorf("falling: %.3f m/s, duty %.4f; plain %.3f, %.4f", falling.Trap, falling.MaxDuty, plain.Trap, plain.MaxDuty)
	}
}
