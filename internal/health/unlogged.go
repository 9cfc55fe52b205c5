package health

import "math"

// Where the channel that a kind must move is not logged, what follows from it stands
// for it, and how that goes with the flow tells the kinds apart.

// instead are the roles that a kind takes on when none of the watches named is there.
var instead = map[Kind]struct {
	lacking []string
	roles   []role
}{
	FuelSupply:     {[]string{"fuel over manifold"}, []role{{"lambda", 1, must, 1}}},
	BoostLeak:      {[]string{"turbo speed", "back-pressure", "inlet depression"}, upstream},
	TurboOverspeed: {[]string{"turbo speed", "back-pressure", "inlet depression"}, upstream},
	TurbineChoke:   {[]string{"back-pressure"}, []role{{"torque over air", -1, must, 1}}},
	// One wheel of an axle is not the mean that the engine turns: a tyre that lost its
	// pressure turns faster than its mate.
	Tyre: {[]string{"driven pair"}, []role{{"engine over wheels", 0, must, 0.8}}},
}

// upstream is what a compressor shows that has to work harder for its boost, with only
// the charge's temperature and the torque logged: hotter air, and an engine that spends
// on its exhaust what the turbine takes.
var upstream = []role{{"charge heat", 1, must, 1}, {"torque over air", -1, may, 0.6}}

// rolesFor are the roles of a kind among what was watched.
func rolesFor(s signature, obs []*observation) []role {
	in, ok := instead[s.kind]
	if !ok {
		return s.roles
	}
	for _, o := range obs {
		for _, id := range in.lacking {
			if (role{watch: id}).covers(o.id) && o.rows != nil {
				return s.roles
			}
		}
	}
	return append(append([]role(nil), in.roles...), s.roles...) // the first that covers a watch counts
}

// standsFor says that a kind is told by what stands for the watch that it must move.
func standsFor(c *candidate) bool {
	in, ok := instead[c.kind]
	if !ok {
		return false
	}
	r, found := find(in.roles, c.main.id)
	return found && r.part == must
}

// Elasticities, 1, of a departure with the flow, and how far they vary, by what makes it;
// set from physics: see docs/health.md.
var (
	inProportion = elasticity{0, 0.8} // a share that lacks is the same share of any flow
	atItsEnd     = elasticity{6, 3.5} // what a pump or filter at its end lacks is all of what is asked beyond it
	byFlowSquare = elasticity{2, 1}   // a restriction's loss
	byHole       = elasticity{-1, 1}  // a hole lets the less of the flow go the more there is
)

type elasticity struct{ mean, sd float64 }

// withFlow is how much rather, natural logarithm of odds within ±4, a watch's departure
// goes with the flow as a than as b.
func withFlow(o *observation, a, b elasticity) float64 {
	e, sd, ok := o.elasticity()
	if !ok {
		return 0
	}
	one := func(x elasticity) float64 {
		s := math.Hypot(x.sd, sd)
		return -sq(e-x.mean)/(2*s*s) - math.Log(s)
	}
	return max(-4, min(4, one(a)-one(b)))
}

// elasticity is how the departure from the watch's model after its onset goes with the
// watch's load: d ln(departure) over d ln(load), 1, by least squares with a drift in
// time that a tenth of the departure a second is usual for (a trim that learns).
func (o *observation) elasticity() (e, sd float64, ok bool) {
	h, r, m := o.hit, o.rows, o.model
	if m == nil || r == nil || r.Load == nil {
		return 0, 0, false
	}
	var t, load, y []float64
	from := r.T[h.At]
	if h.Shape.Last == 0 && o.start > r.T[0] {
		from = min(from, o.start) // what grows is found late
	}
	for i := range r.len() {
		dt := r.T[i] - from
		if h.Shape.Last > 0 && dt >= h.Shape.Last {
			break
		}
		if dt < 0 || from > r.T[0] && dt < 1 || len(r.Loose) > i && r.Loose[i] || !(r.Load[i] > 0) {
			continue // on its way
		}
		v := r.Y[i]
		for j, b := range m.coef {
			v -= b * r.X[i*r.P+j]
		}
		t, load, y = append(t, r.T[i]), append(load, math.Log(r.Load[i])), append(y, v)
	}
	if len(y) < 8 {
		return 0, 0, false
	}
	mt, ml, my := mean(t), mean(load), mean(y)
	if my*h.Size <= 0 || math.Abs(my) < 3*m.noise/math.Sqrt(float64(len(y))) {
		return 0, 0, false
	}
	var ll, lt, tt, ly, ty float64
	for i := range y {
		a, b, v := load[i]-ml, t[i]-mt, (y[i]-my)/my
		ll, lt, tt, ly, ty = ll+a*a, lt+a*b, tt+b*b, ly+a*v, ty+b*v
	}
	// Neighbouring rows are not independent.
	rel := 1 / (m.rowPrecision() * my * my)
	tt += rel / sq(0.1)
	ll += rel / sq(10)
	det := ll*tt - lt*lt
	if !(det > 0) {
		return 0, 0, false
	}
	return (ly*tt - ty*lt) / det, math.Sqrt(rel * tt / det), true
}

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// What of its torque an engine loses for each kelvin by which its charge is hotter, 1/K:
// by the spark that is taken back, when a cooler does less (a degree for 8 K: common
// practice), and by the pressure before the turbine when
// the compressor works harder.
const (
	lossCooler   = 0.0022
	lossUpstream = 0.005
	lossSpread   = 0.5 // standard deviation of the logarithm of either
	// breathLost is the share of its air that an engine takes less for each kelvin, 1/K,
	// when it is the pressure before the turbine that rose: a tenth more for 6 K (a mean over
	// geometries) leave 0.9 % more burnt gas in the cylinder. A cooler changes none of it but
	// for breathStill.
	breathLost, breathStill = 0.0015, 0.0005
	// perDegree is the share of torque that a degree of spark costs on an engine that knock
	// holds back (common practice).
	perDegree = 0.018
)

// By which share of the compressor's heat a charge gets hotter, 1, geometric mean and
// standard deviation of the logarithm: a compressor that works 5 to 20 % harder heats the
// air so much more, of which a cooler lets a quarter to two fifths pass; a cooler that
// loses a sixth to two thirds of what it takes away, some seven tenths, leaves as much in
// (set by hand from that).
const (
	sharePassed, sharePassedSpread = 0.03, 0.6
	shareLeft, shareLeftSpread     = 0.14, 0.8
)

// workedHarder is how much rather, natural logarithm of odds within ±3, the compressor
// works harder than the cooler does less: by how much of the compressor's heat, rise in K
// (NaN unknown), came to be in the charge, by the torque lost with it, and by the fuel that the air asks for.
func workedHarder(obs []*observation, rise float64) float64 {
	var heat, torque, fuel *observation
	for _, o := range obs {
		switch o.id {
		case "charge heat":
			heat = o
		case "torque over air":
			torque = o
		case "injectors over air", "fuel flow over air":
			fuel = o
		}
	}
	if heat == nil || heat.model == nil || heat.hit.Size <= 0 {
		return -1
	}
	warmer := heat.reached()
	s := 0.0
	if rise > 20 {
		x := math.Log(max(1, warmer) / rise)
		s += logNormal(x, sharePassed, sharePassedSpread) - logNormal(x, shareLeft, shareLeftSpread)
	}
	if loss, sd, ok := lostWith(torque, heat); ok {
		for _, o := range obs {
			if e, way := o.moved(); o.id == "ignition" && e > 1 && way < 0 {
				loss += perDegree * o.hit.Size * 180 / math.Pi // what the spark explains
			}
		}
		s += normal(loss, lossUpstream*warmer, math.Hypot(sd, lossSpread*lossUpstream*warmer)) -
			normal(loss, lossCooler*warmer, math.Hypot(sd, lossSpread*lossCooler*warmer))
	}
	if less, sd, ok := lostWith(fuel, heat); ok {
		s += normal(less, breathLost*warmer, math.Hypot(sd, lossSpread*breathLost*warmer)) - normal(less, 0, math.Hypot(sd, breathStill*warmer))
	}
	return max(-3, min(3, s))
}

// normal is the logarithm of a normal density, up to a constant.
func normal(x, mean, sd float64) float64 { return -sq((x-mean)/sd)/2 - math.Log(sd) }

// logNormal is the logarithm of a log-normal's density at the logarithm x, up to a constant.
func logNormal(x, mean, spread float64) float64 {
	return -sq((x-math.Log(mean))/spread)/2 - math.Log(spread)
}

// lostWith is the share, 1, that another reading lost as the charge grew hotter, and its
// standard deviation: as its own scan found it, or at the heat's time and shape.
func lostWith(o, heat *observation) (loss, sd float64, ok bool) {
	if o == nil || o.model == nil || o.rows == nil || heat.rows == nil {
		return 0, 0, false
	}
	if o.evidence > 1.5 {
		return -math.Expm1(o.hit.Size), o.hit.SD, true
	}
	h, ok := o.sizeAt(heat)
	return -math.Expm1(h.Size), h.SD * math.Sqrt(o.model.excess), ok
}
