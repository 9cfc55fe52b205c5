package fuel

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

var (
	ethanolMark  = regexp.MustCompile(`(?:^|[^\pL\pN])e\s?-?\s?(\d{1,3})(?:[^\pL\pN.]|$)`)
	methanolMark = regexp.MustCompile(`(?:^|[^\pL\pN])m\s?-?\s?(\d{2,3})(?:[^\pL\pN.]|$)`)
	percentMark  = regexp.MustCompile(`(\d{1,3})\s?%`)
)

// gasolineWords are words for gasoline in several languages, and what the trade says
// instead.
var gasolineWords = []string{
	"gasoline", "petrol", "benzin", "essence", "gasolina", "nafta super", "bensin", "bensiini", "бензин",
	"unleaded", "race gas", "pump gas", "super plus", "super", "premium", "ron", "mon", "octane", "oktan", "avgas",
}

// ByName returns the properties that a fuel's name means: gasoline (with or without
// an octane number), ethanol blends as E and a number, ethanol, methanol, blends as M and
// a number, and the words for them in some other languages. ok is false when the name
// says nothing to us; the properties then are those of gasoline with a
// very wide spread.
//
// Gasoline from a pump holds up to a tenth of ethanol, racing gasoline other
// oxygenates: its stoichiometry is given as 14.5 ± 0.25. A number after E is taken for
// the label, so ± 0.05 of ethanol around the middle, less at the ends.
func ByName(name string) (p Properties, ok bool) {
	s := strings.ToLower(strings.TrimSpace(name))
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(s, w) {
				return true
			}
		}
		return false
	}
	switch m := ethanolMark.FindStringSubmatch(s); {
	case m != nil && percent(m[1]) >= 0:
		e := percent(m[1])
		p = EthanolBlend(e, labelSD(e))
	case methanolMark.MatchString(s) && percent(methanolMark.FindStringSubmatch(s)[1]) >= 0.5:
		k := percent(methanolMark.FindStringSubmatch(s)[1])
		p = Mix(Part{PureGasoline(), 1 - k}, Part{PureMethanol(), k})
		p.Stoich.SD = math.Hypot(p.Stoich.SD, 0.02*8*4*k*(1-k)+0.03)
		p.Name = fmt.Sprintf("M%.0f", 100*k)
	case has("methanol", "méthanol", "metanol", "метанол"):
		p = PureMethanol()
		p.Stoich.SD, p.LHV.SD = 0.06, 0.25e6 // a per cent of water or additive
	case has("ethanol", "éthanol", "etanol", "bioethanol", "alcohol", "spiritus", "этанол"):
		switch pc := percentMark.FindStringSubmatch(s); {
		case pc != nil && percent(pc[1]) >= 0:
			e := percent(pc[1])
			p = EthanolBlend(e, labelSD(e))
		case has("blend", "mix", "flex", "gemisch", "mélange", "mezcla", "смесь"):
			p = EthanolBlend(0.75, 0.15)
		default:
			p = EthanolBlend(0.98, 0.02)
		}
	case has(gasolineWords...):
		p = commonGasoline()
	default:
		p = commonGasoline()
		p.Stoich.SD, p.LHV.SD, p.Density.SD = 2.5, 8e6, 30
		p.BSFC.SD *= 2
		return p, false
	}
	if p.Name == "" {
		p.Name = s
	}
	return p, true
}

// commonGasoline is what is sold as gasoline: with up to a tenth of ethanol, or
// oxygenates to the same effect.
func commonGasoline() Properties {
	p := EthanolBlend(0.03, 0.03)
	p.Name = "gasoline"
	p.Stoich = est(14.5, 0.25)
	return p
}

// labelSD is how far the ethanol content may be off what a label says, 0–1.
func labelSD(e float64) float64 {
	return math.Max(0.01, math.Min(0.05, 0.25*(1-e)+0.01))
}

func percent(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || v > 100 {
		return -1
	}
	return v / 100
}

func blendName(e float64) string {
	switch {
	case e == 0:
		return "gasoline"
	case e == 1:
		return "ethanol"
	}
	return fmt.Sprintf("E%.0f", 100*e)
}
