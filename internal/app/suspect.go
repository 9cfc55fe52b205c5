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
			foundOn(o, h[o.Index], s.Set.Clock)
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
		if k := slices.IndexFunc(res.Findings, func(f health.Finding) bool { return f.Kind != health.Sensor }); k >= 0 {
			q := &res.Findings[k]
			o.Finding, o.FoundFrom, o.Slight = string(q.Kind), q.Start-o.Rollout, subtle(res.Findings)
		}
		of[i].well = of[i].well && o.Finding == ""
	}
}

// subtle tells that none of the findings is more than that.
func subtle(found []health.Finding) bool {
	return !slices.ContainsFunc(found, func(f health.Finding) bool { return f.Kind != health.Sensor && f.Severity != health.Subtle })
}

// foundOn gives an observation what a chapter found, the likeliest that is not a sensor's own.
func foundOn(o *fitcar.Observation, h *report.Health, clock trace.Clock) {
	o.Slight = true
	for _, f := range h.Findings {
		if f.Kind == string(health.Sensor) {
			continue
		}
		o.Slight = o.Slight && f.Severity == string(health.Subtle)
		if o.Finding != "" {
			continue
		}
		o.Finding, o.FoundFrom = f.Kind, math.Inf(-1)
		if f.StartS != nil {
			o.FoundFrom = clock.Run(*f.StartS) - o.Rollout
		}
	}
}
