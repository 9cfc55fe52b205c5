package card

import "strings"

// draw lays the card out on a sheet.
func (c *Card) draw(s *sheet) {
	s.para(s.size+5, "B", c.Title())
	if c.Made != "" {
		s.para(s.size, "", c.Made)
	}
	s.y += 1
	s.para(s.size+3.5, "", c.Answer)
	if len(c.Already) > 0 {
		s.boxed("Exceeded already: ", strings.Join(c.Already, "; ")+".")
	}
	s.y += 1.5
	c.drawSettings(s)
	if len(c.New) > 0 {
		s.boxed("Not run before: ", strings.Join(c.New, "; ")+".")
	}
	if len(c.Due) > 0 {
		s.boxed("Parts: ", strings.Join(c.Due, "; ")+".")
	}
	if len(c.Missing) > 0 {
		s.boxed("Not done yet: ", strings.Join(c.Missing, "; ")+".")
	}
	top := s.y
	s.w = (sheetW - 2*edge - gutter) / 2
	c.drawLeft(s)
	s.floor = s.y
	s.x, s.y = edge+s.w+gutter, top
	c.drawRight(s)
	s.floor = max(s.floor, s.y)
	s.x, s.y, s.w = edge, s.floor+2, sheetW-2*edge
	s.rule(0.15)
	s.y += 0.8
	s.para(s.size-1, "", Foot)
}

func (c *Card) drawSettings(s *sheet) {
	shares := []float64{0.08, 0.25, 0.25, 0.17, 0.25}
	s.cells(s.size, "BBBBB", shares, "gear", "boost over the barometer, "+c.Unit, "absolute, "+c.Unit, "shift out at, rpm", "held back by")
	s.rule(0.3)
	s.y += 0.7
	for _, r := range c.Rows {
		g, a := r.Gauge, r.Absolute
		if c.Both {
			g, a = g+"  ("+r.GaugeKPa+" kPa)", a+"  ("+r.AbsoluteKPa+" kPa)"
		}
		y := s.y
		h := 0.0
		x := s.x
		for i, t := range []string{r.Gear, g, a, r.Shift, r.Binds} {
			size, style := s.size+2.5, ""
			switch i {
			case 0, 1:
				style = "B"
			case 4:
				size = s.size
			}
			h = max(h, s.text(x, y, shares[i]*s.w-1.5, size, style, t))
			x += shares[i] * s.w
		}
		s.y = y + h + 0.5
		s.rule(0.1)
		s.y += 0.5
	}
	s.y += 0.6
	s.para(s.size, "", c.Barometer)
	if c.Enter != "" {
		s.para(s.size, "B", c.Enter)
	}
	s.para(s.size, "", strings.Join(c.Settings, " "))
}

func (c *Card) drawLeft(s *sheet) {
	s.head("Forecast")
	for _, f := range c.Facts {
		note := f.Value
		if f.Note != "" {
			note += "; " + f.Note
		}
		s.cells(s.size, "B", []float64{0.34, 0.66}, f.Name, note)
		s.y += 0.3
	}
	if len(c.Limits) > 0 {
		s.head("What binds")
		shares := []float64{0.13, 0.4, 0.2, 0.27}
		s.cells(s.size-0.5, "BBBB", shares, "where", "limit", "chance", "1 % more boost brings")
		for _, l := range c.Limits {
			s.cells(s.size-0.5, "", shares, l.Where, l.What+" ("+l.Class+")", l.Chance, l.More)
		}
	}
	if len(c.Protection) > 0 {
		title, lines := c.protections("Protection: cut at once when")
		s.head(title)
		for _, l := range lines {
			s.y += s.text(s.x, s.y, s.w, s.size-0.5, "", l) + 0.3
		}
	}
}

func (c *Card) drawRight(s *sheet) {
	s.head("Checks")
	s.items("", c.Checks)
	s.head("Mind")
	s.items("-", c.Cautions)
	if len(c.Notes) > 0 {
		s.head("Notes")
		s.items("-", c.Notes)
	}
}
