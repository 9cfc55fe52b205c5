package app

import (
	"math"
	"slices"

	"traplight/internal/fitcar"
	"traplight/internal/health"
	"traplight/internal/report"
	"traplight/internal/trace"
)

// leastTogether is from how many passes on each is judged against all others, those after it
// too: as in health.Sift, nobody can tell the odd one of fewer.
const leastTogether = 4

// suspect puts what the health screen finds on a pass into its observation. A pass that was
// judged before keeps that judgement; the others are judged against those of the same car: of
// few passes against the clear ones before, of more against all others. obs are in order of time.
func (f *Fitted) suspect(a *Analysis, obs []*fitcar.Observation) {
	type judged struct {
		car  string
		sum  health.Summary
		well bool
	}
	var all []*judged
	of := make([]*judged, len(obs))
	recs := map[ranPass]health.Record{}
	src := map[ranPass]*report.Source{}
	for i := range a.Sources {
		s := &a.Sources[i]
		for k, r := range recordsOf(&Analysis{Sources: []report.Source{*s}}, f.Notes) {
			key := ranPass{file: s.Log.File, index: k}
			recs[key], src[key] = r, s
		}
	}
	count := map[string]int{}
	for i, o := range obs {
		key := ranPass{file: o.File, index: o.Index}
		s := src[key]
		if s == nil || s.Sheet == nil {
			continue
		}
		r := recs[key]
		of[i] = &judged{car: s.Sheet.Name, sum: health.Summarise(r, s.Sheet), well: r.Clear}
		all = append(all, of[i])
		if r.Clear {
			count[s.Sheet.Name]++
		}
	}
	for i, o := range obs {
		if of[i] == nil {
			continue
		}
		key := ranPass{file: o.File, index: o.Index}
		s := src[key]
		if h := s.Health; o.Index < len(h) && h[o.Index] != nil {
			tell(o, toldOn(h[o.Index], o, s.Set.Clock))
			of[i].well = of[i].well && o.Finding == ""
			continue
		}
		var past []health.Summary
		for _, q := range all {
			if q == of[i] {
				if count[q.car] < leastTogether {
					break
				}
				continue
			}
			if q.car == of[i].car && q.well {
				past = append(past, q.sum)
			}
		}
		res := health.ScreenAgainst(recs[key], past, s.Sheet, health.Options{})
		var found []onPass
		for _, q := range res.Findings {
			found = append(found, onPass{q.Kind, q.Severity, q.Start - o.Rollout, q.OfSheet})
		}
		tell(o, found)
		of[i].well = of[i].well && o.Finding == ""
	}
}

// onPass is a finding on a pass; since is in s from rollout.
type onPass struct {
	kind     health.Kind
	severity health.Severity
	since    float64
	limit    bool // nothing but a limit of the sheet was exceeded
}

// costly are the kinds that cost torque. Others, such as a limit that is exceeded, a car may have
// on every pass and run as it does.
var costly = []health.Kind{health.CylinderDown, health.Ignition, health.BoostLeak, health.Underboost, health.TurbineChoke, health.FuelSupply, health.MixtureLean,
	health.MixtureImbalance, health.ChargeHeat, health.Nitrous, health.Throttle, health.ClutchSlip, health.Driveline}

// byMixture are those of them that cost torque through the mixture alone.
var byMixture = []health.Kind{health.FuelSupply, health.MixtureLean}

// tell puts the finding into the observation that may cost most speed: the likeliest that is more
// than subtle and of a costly kind, else the likeliest that is not a sensor's own. What acts
// through the mixture costs nothing where the log shows that this stayed as it should.
func tell(o *fitcar.Observation, found []onPass) {
	found = slices.DeleteFunc(found, func(f onPass) bool { return f.kind == health.Sensor })
	if len(found) == 0 {
		return
	}
	k := slices.IndexFunc(found, func(f onPass) bool {
		return f.severity != health.Subtle && !f.limit && slices.Contains(costly, f.kind) && !(slices.Contains(byMixture, f.kind) && o.MixtureHeld(f.since))
	})
	o.Slight = k < 0
	f := found[max(k, 0)]
	o.Finding, o.FoundFrom = string(f.kind), f.since
}

// toldOn are the findings of a report's chapter.
func toldOn(h *report.Health, o *fitcar.Observation, clock trace.Clock) (found []onPass) {
	for _, f := range h.Findings {
		q := onPass{health.Kind(f.Kind), health.Severity(f.Severity), math.Inf(-1), f.OfSheet}
		if f.StartS != nil {
			q.since = clock.Run(*f.StartS) - o.Rollout
		}
		found = append(found, q)
	}
	return found
}
