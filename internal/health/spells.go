package health

import "math"

// Some readings stray for a second or two and come back, as an ignition angle does
// after knocks, by so much and no more. That is neither the rows' noise nor a pass's
// wander: a scan of many quiet rows makes a size of it that is many times its doubt, and
// so would a fault be that is many times as large. So what a second's mean strays from
// its pass's own fit is learnt as a size of its own.

const (
	spellRows = 5   // rows in a mean, 1 s
	spellLast = 2.0 // s, over which such a straying keeps its size
	// unseenSpells is by how many times more, over the number of passes, the next pass strays
	// from what few passes tell than they do from their own fits, which follow each of them (set by hand).
	unseenSpells = 2.0
)

// spellOf is half of the most that a mean over 1 s strays from a pass's own fit, unit of
// the watch: twice its standard deviation is what the largest of the twenty seconds of a
// pass comes to by chance, and where spells are few it is the large ones that matter. 0 for
// too few rows. e are the rows' residuals, the same unit.
func (r *rowset) spellOf(e []float64) float64 {
	most, n := 0.0, 0
	for i := 0; i+spellRows <= len(e); i++ {
		k := i + spellRows - 1
		if r.T[k]-r.T[i] > 1.3*(spellRows-1)*block*cell {
			continue
		}
		mean, firm := 0.0, true
		for j := i; j <= k; j++ {
			mean += e[j] / spellRows
			firm = firm && !r.Loose[j]
		}
		if firm {
			most, n = max(most, math.Abs(mean)), n+1
		}
	}
	if n < 2*spellRows {
		return 0
	}
	return most / 2
}

// pooledSpell is the same over the passes, with the prior's say; 0 for a watch that has
// none.
func (s *spec) pooledSpell(ds []*digest) float64 {
	if s.spell == 0 {
		return 0
	}
	ss, n := priorPasses*s.spell*s.spell, priorPasses
	for _, d := range ds {
		if d.Spell > 0 {
			ss, n = ss+d.Spell*d.Spell, n+1
		}
	}
	return math.Sqrt(ss / n)
}

// among is how far a hit is from nothing, 1, once spells are part of its doubt: the
// longer it lasts the more of them it averages. A ramp that the pass cuts short has
// reached only a part of its size, and a spell is as large beside that part.
func (o *observation) among() float64 {
	h := o.hit
	whole := h.Size
	if r := o.reached(); r != 0 && math.Abs(r) < math.Abs(whole) {
		whole = r
	}
	v := o.model.spell * h.Size / whole
	return h.Size / math.Sqrt(h.SD*h.SD+v*v/max(1, o.lasts()/spellLast))
}

// lasts is how long rows bear a hit out, s.
func (o *observation) lasts() float64 {
	h, n := o.hit, 0
	for i := h.At; i < o.rows.len(); i++ {
		if h.Shape.Last > 0 && o.rows.T[i]-o.rows.T[h.At] >= h.Shape.Last {
			break
		}
		n++
	}
	return float64(n) * block * cell
}
