package health

import (
	"fmt"
	"math"
	"testing"

	"traplight/internal/num/stats"
)

func TestExplore(t *testing.T) {
	explore(t, "marlin", 7, "a01", "a02", "a03", "a04", "a05", "a06", "a07", "a08", "a09")
	explore(t, "heron", 1, "b01", "b02")
}

func explore(t *testing.T, car string, healthy int, names ...string) {
	sheet := sheetOf(t, car)
	var recs []Record
	var frames [][]*look
	for _, n := range names {
		r, _ := fromTruth(t, n+"_"+car)
		r.Note = noteOf(t, n+"_"+car)
		recs = append(recs, r)
		f := newFrame(r, sheet)
		frames = append(frames, f.watches())
	}
	for k := range names {
		fmt.Println("=====", names[k])
		for _, l := range frames[k] {
			var ds []*digest
			for j := range names {
				if j == k || j >= healthy {
					continue
				}
				for _, o := range frames[j] {
					if o.id == l.id {
						ds = append(ds, o.digestRows(o.rows))
					}
				}
			}
			m := l.learn(ds)
			h, _, ok := scanLook(l, m)
			h0, _, _ := scanLook(l, l.learn(nil))
			if ok {
				z := stats.AsNormal(h.Z/m.excess, m.df)
				z0 := stats.AsNormal(h0.Z/1.3, 4)
				fl := ""
				if math.Abs(z) > 4.3 && math.Abs(h.Size) > l.small {
					fl = "***"
				}
				if math.Abs(z0) > 4.3 && math.Abs(h0.Size) > l.small {
					fl += "+++"
				}
				if fl == "" && testing.Short() {
					continue
				}
				fmt.Printf("%-26s n=%3d noise %.3g (%.3g) corr %.2f wander0 %.3g ex %.2f z %6.1f (%.1f) size %.4g (small %.3g) at %.2f shape %+v | none: z %5.1f (%.1f) size %.3g at %.2f %s\n", l.id, l.rows.len(), m.noise, l.noise, m.corr, m.wander[0], m.excess, h.Z, z, h.Size, l.small, l.rows.T[h.At], h.Shape, h0.Z, z0, h0.Size, l.rows.T[h0.At], fl)
			}
		}
	}
}
