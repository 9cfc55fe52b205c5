package app

import (
	"traplight/internal/car"
	"traplight/internal/caution"
	"traplight/internal/forecast"
	"traplight/internal/plan"
)

// minded are the cautions of a forecast: what is set is held against what was run. It does
// not know the health of the last pass.
func (f *Fitted) minded(n *forecast.Next, r *forecast.Result) []string {
	a := caution.Act{Sheet: f.Sheet, Top: r.Top.P95, Stop: r.Stopping.P95, ShutDown: n.ShutDown, Nitrous: n.Nitrous, Unseen: true}
	if b, err := plan.BoundsOf(f.Model, n, false); err == nil { // a car without boost has none
		a.New, a.Beyond = past(b)
	}
	return a.Before()
}

// past tells whether settings were not run before, and whether they are more than one step
// beyond what was. A tenth of a psi and 20 rpm are what two noted settings differ by anyhow.
func past(b *plan.Bounds) (fresh, beyond bool) {
	const pressure, turn = 700.0, 2.0 // Pa, rad/s
	for g, v := range b.Now {
		fresh = fresh || v > b.Ran[g]+pressure
		beyond = beyond || v > max(b.Boost[g][1], b.Ran[g])+pressure
	}
	for g, v := range b.NowShift {
		fresh = fresh || v > b.RanShift[g]+turn
		beyond = beyond || v > max(b.Shift[g][1], b.RanShift[g])+turn
	}
	return fresh, beyond
}

// BeforePass are the cautions of a pass to come on the page: c is it worked out, nil when it
// was not yet; verdict is on the last pass, found by an inspection since; shutDown, m, is what its strip had, 0 not stated.
func BeforePass(c *Coming, sheet *car.Sheet, verdict, found string, nitrous bool, shutDown float64) []string {
	a := caution.Act{Sheet: sheet, Verdict: verdict, Found: found, Nitrous: nitrous, ShutDown: shutDown}
	if c != nil {
		a.Nitrous, a.New, a.Beyond = nitrous || c.Settings.Nitrous, len(c.New) > 0, c.Bold && len(c.New) > 0
		a.Top, a.Stop, a.ShutDown = c.TopP95, c.Stopping.P95, c.Answer.ShutDown
	}
	return a.Before()
}
