package health

import (
	"fmt"
	"math"
	"sort"

	"traplight/internal/dictionary"
	"traplight/internal/prose"
	"traplight/internal/quantity"
)

// bound lets the limits speak through the watches they belong to, so that their
// cause is sought with all else that moved.
func (j *judge) bound() {
	j.limits = j.unusual(j.breaches())
	for _, b := range j.limits {
		id, sign := breachWatch(b.kind)
		if id == "" || b.byMotion {
			continue
		}
		var o *observation
		for _, x := range j.obs {
			if x.id == id {
				o = x
			}
		}
		if o == nil {
			o = &observation{look: &look{spec: spec{id: id, title: b.text, channels: b.channels, small: 1}}, said: b.text}
			j.obs = append(j.obs, o)
		}
		if o.evidence < b.score || o.sign() != sign {
			from := b.from
			if o.said != "" && o.sign() == sign { // a graver limit of the same is passed later
				from = min(from, o.start)
			}
			o.evidence, o.start, o.said = b.score, from, b.text
			if o.rows == nil || o.sign() != sign {
				o.hit.Size, o.ruled = 3*sign*o.small, true
			}
		} else if o.said == "" {
			o.said = b.text
		}
		o.grave = o.grave || b.severity == Gross
		o.warned = o.warned || b.severity == Moderate
	}
}

// breachWatch is the watch that a kind of limit belongs to, and its direction.
func breachWatch(k Kind) (id string, sign float64) {
	switch k {
	case MixtureLean:
		return "lambda", 1
	case FuelSupply:
		return "fuel over manifold", -1
	case OilSupply:
		return "oil pressure", -1
	case CoolantPressure:
		return "coolant pressure", 1
	case CrankcasePressure:
		return "crankcase pressure", 1
	case Electrical:
		return "voltage", -1
	case Underboost:
		return "boost short of target", -1
	case Overboost:
		return "boost over target", 1
	case Throttle:
		return "throttle", -1
	case ChargeHeat: // what knocks, or burns late and hot, behind a charge that is not cooled has that cause
		return "charge heat", 1
	}
	return "", 0
}

// sensors adds the channels whose own readings condemn them, and the limits that
// no finding covers yet.
func (j *judge) sensors(set *dictionary.Set) {
	j.coldCylinder()
	for _, b := range j.broken {
		f := Finding{Kind: Sensor, Severity: Moderate, Start: b.from, Channels: []string{b.channel.Name}, LookAt: lookAt[Sensor],
			Chance: min(1, float64(len(set.Channels))*math.Exp(-b.score)), Score: b.score,
			Evidence: fmt.Sprintf("%s: %s, from %s; it was left out of everything else from then on.", b.channel.Name, b.text, j.when(b.from))}
		j.findings = append(j.findings, f)
	}
	causes := j.findings
	for _, b := range j.limits {
		if j.lost && b.byMotion {
			continue
		}
		known := false
		id, _ := breachWatch(b.kind)
		for _, f := range j.findings {
			// What the owner has set a limit to is told, whatever it comes of.
			known = known || f.Kind == b.kind || !b.sheet && id != "" && f.covers[id]
		}
		if !known {
			j.findings = append(j.findings, Finding{Kind: b.kind, Severity: b.severity, Start: b.from, Channels: b.channels, LookAt: lookAt[b.kind],
				Chance: 1e-4, Score: j.behind(b, causes), Evidence: fmt.Sprintf("%s, from %s.", prose.Upper(b.text), j.when(b.from)), OfSheet: b.sheet})
		}
	}
	for _, f := range j.findings {
		j.strength = max(j.strength, f.Score)
	}
	sort.SliceStable(j.findings, func(a, b int) bool { return j.findings[a].Score > j.findings[b].Score })
}

// behind is a limit's score for its place among the findings: exhaust over its limit
// stands behind a cause that heats the exhaust.
func (j *judge) behind(b breach, causes []Finding) float64 {
	hot := false
	for _, c := range j.lone(quantity.ExhaustTemperature) {
		for _, name := range b.channels {
			hot = hot || c.Name == name
		}
	}
	score := b.score
	for _, f := range causes {
		for _, s := range signatures {
			if r, ok := find(s.roles, "exhaust temperature"); hot && s.kind == f.Kind && ok && r.sign >= 0 {
				score = min(score, f.Score-0.1)
			}
		}
	}
	return score
}
