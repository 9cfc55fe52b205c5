package compare

// origins traces the gaps at the last mark back to the sections in which they arose.
//
// A car that comes out of a section slower goes on losing time until the line, though
// nothing differs there any more. With E = v² − v₀², the difference of the squared
// speeds (of kinetic energy by mass, twice), the gap of time grows along the strip by
//
//	1/v − 1/v₀ = −E / (v·v₀·(v + v₀)),
//
// exactly and linearly in E. E is built up by differences of force alone and carried
// on; so what each section adds to it, and that over all later places, is that
// section's share, and the shares add up to the whole. The same holds for speed at the
// mark: v − v₀ = E/(v + v₀). (That a faster car has more drag counts as a
// difference of force where it acts.)
func (c *Comparison) origins() {
	if len(c.Sections) == 0 {
		return
	}
	for i := 1; i < len(c.Lines); i++ {
		l, first := &c.Lines[i], &c.Lines[0]
		n := min(len(l.Speed), len(first.Speed))
		for n > 0 && c.X[n-1] > c.Sections[len(c.Sections)-1].ToX+1e-9 {
			n--
		}
		if n < 2 {
			return
		}
		energy := make([]float64, n)   // m²/s²
		perMetre := make([]float64, n) // s/m for one m²/s² of E
		for k := range n {
			v, v0 := max(l.Speed[k], 0.5), max(first.Speed[k], 0.5)
			energy[k] = v*v - v0*v0
			perMetre[k] = -1 / (v * v0 * (v + v0))
		}
		last := c.Sections[len(c.Sections)-1].Parts[i]
		v, v0 := last.Speed, c.Sections[len(c.Sections)-1].Parts[0].Speed
		total, assigned, speed := 0.0, 0.0, 0.0
		for k := range c.Sections {
			total += c.Sections[k].Parts[i].Lost.Value
		}
		for k := len(c.Sections) - 1; k > 0; k-- {
			s := &c.Sections[k]
			t := 0.0
			share := func(m int) float64 {
				return clampEnergy(energy, c.X, m, s.FromX, s.ToX)
			}
			for m := 1; m < n; m++ {
				if c.X[m] <= s.FromX {
					continue
				}
				t += 0.5 * (share(m)*perMetre[m] + share(m-1)*perMetre[m-1]) * (c.X[m] - c.X[m-1])
			}
			dv := share(n-1) / (v + v0)
			s.Parts[i].TimeBrought, s.Parts[i].SpeedBrought = &t, &dv
			assigned += t
			speed += dv
		}
		// The first section takes what is left: near standstill the grid is too coarse
		// for the integral.
		t, dv := total-assigned, last.Gained.Value-speed
		c.Sections[0].Parts[i].TimeBrought, c.Sections[0].Parts[i].SpeedBrought = &t, &dv
	}
}

// clampEnergy is what the stretch from–to, m, has added to the energy by point m,
// m²/s².
func clampEnergy(energy, x []float64, m int, from, to float64) float64 {
	at := func(place float64) float64 {
		if place <= x[0] {
			return energy[0]
		}
		i := int((place - x[0]) / step)
		if i+1 >= len(energy) {
			return energy[len(energy)-1]
		}
		f := (place - x[i]) / step
		return energy[i] + f*(energy[i+1]-energy[i])
	}
	if x[m] <= from {
		return 0
	}
	return at(min(x[m], to)) - at(from)
}
