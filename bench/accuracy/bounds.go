package main

// Bound is what a quantity is held to over the healthy passes.
type Bound struct {
	Name    string
	Unit    string
	Percent bool    // errors are relative to the truth, in %
	Median  float64 // of the absolute error, in Unit; 0 not asked
	P90     float64 // 90th percentile of the absolute error, in Unit; 0 not asked
	// OneSided counts only errors above zero (a bound that must not lie above
	// the truth), against P90 as the largest allowed.
	OneSided bool
	// Honest asks that the stated 90 % intervals hold and are no wider than
	// need be.
	Honest bool
	Detail bool // printed only with -v or -all
}

// bounds are the project's promises, in the order in which they are printed.
var bounds = []Bound{
	{Name: "trap", Unit: "%", Percent: true, Median: 0.05, P90: 0.12, Honest: true},
	{Name: "half-mile time", Unit: "s", Median: 0.007, P90: 0.015},
	{Name: "launch", Unit: "s", Median: 0.012, P90: 0.025, Honest: true},
	{Name: "launch without accelerometer", Unit: "s", Median: 0.10, P90: 0.20, Honest: true},
	{Name: "rollout", Unit: "s", Detail: true},
	{Name: "split time", Unit: "s", Honest: true},
	{Name: "split speed", Unit: "m/s", Honest: true},
	{Name: "engine speed at the line", Unit: "%", Percent: true, Median: 1, P90: 3},
	{Name: "boost at the line", Unit: "Pa", Detail: true},
	{Name: "launch clutch closed", Unit: "s", Median: 0.03, P90: 0.08},
	{Name: "engine speed as it closed", Unit: "%", Percent: true, Detail: true},
	{Name: "gears wrong", Unit: "spans", P90: 1e-9, OneSided: true},
	{Name: "shift start", Unit: "s", Median: 0.018, P90: 0.04, Honest: true},
	{Name: "shift end", Unit: "s", Median: 0.010, P90: 0.025, Honest: true},
	{Name: "boost recovery", Unit: "s", Median: 0.015, P90: 0.06, Honest: true},
	{Name: "recovery to target", Unit: "s", Detail: true},
	{Name: "mean hub torque", Unit: "%", Percent: true, Median: 1.2, P90: 3, Honest: true},
	{Name: "mean wheel torque", Unit: "%", Percent: true, Detail: true},
	{Name: "peak hub torque", Unit: "%", Percent: true, Detail: true},
	{Name: "mean crank torque", Unit: "%", Percent: true, Detail: true},
	{Name: "peak wheel power", Unit: "%", Percent: true, Median: 1.5, P90: 3.5, Honest: true},
	{Name: "peak tyre slip below 0.5", Unit: "", Median: 0.01, P90: 0.06},
	{Name: "peak tyre slip above 0.5", Unit: "%", Percent: true, P90: 20},
	{Name: "mean tyre slip", Unit: "", Detail: true},
	{Name: "torque ceiling", Unit: "%", Percent: true, Median: 2.5, P90: 6, Honest: true},
	{Name: "ceiling bound over truth", Unit: "%", Percent: true, P90: 2, OneSided: true},
	{Name: "ceiling estimate elsewhere", Unit: "%", Percent: true},
	{Name: "ceiling estimate beside bound", Unit: "%", Percent: true},
	{Name: "mean boost", Unit: "%", Percent: true},
	{Name: "mean back-pressure ratio", Unit: "%", Percent: true},
	{Name: "back-pressure ratio at peak power", Unit: "%", Percent: true},
	{Name: "lambda in the gear of peak power", Unit: ""},
	{Name: "fuel flow at peak power", Unit: "%", Percent: true},
	{Name: "power by fuel", Unit: "%", Percent: true},
	{Name: "crank power by motion", Unit: "%", Percent: true},
	{Name: "air density", Unit: "%", Percent: true},
	{Name: "full-throttle time", Unit: "s", Detail: true},
	{Name: "final lift", Unit: "s", Detail: true},
	{Name: "boost before shift", Unit: "Pa", Detail: true},
	{Name: "lowest boost", Unit: "Pa", Detail: true},
	{Name: "shift engine speed", Unit: "%", Percent: true, Detail: true},
	{Name: "time of peak power", Unit: "s", Detail: true},
	{Name: "engine speed at peak power", Unit: "%", Percent: true, Detail: true},
}

// satelliteOnly are the bounds when a log has neither wheels nor an
// accelerometer: only the speed and time at the line are asked.
var satelliteOnly = map[string]Bound{
	"trap":           {Name: "trap", Unit: "%", Percent: true, P90: 0.12},
	"half-mile time": {Name: "half-mile time", Unit: "s", P90: 0.09},
}

const (
	coverageFrom = 0.80 // least share of the stated 90 % intervals that hold
	coverageTo   = 0.98 // largest share
	widestRatio  = 1.5  // mean width over the errors' own 90 % range
	z90          = 1.6448536269514722
)

func quantityOf(name string) *Bound {
	for i := range bounds {
		if bounds[i].Name == name {
			return &bounds[i]
		}
	}
	return nil
}
