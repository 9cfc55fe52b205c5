package forecast

import (
	"fmt"
	"math/rand/v2"

	"traplight/internal/num/xrand"
)

// maxGears bounds what one draw holds.
const maxGears = 10

// luck is all that chance decides about one pass, as standard normal numbers and
// shares. Settings do not enter, so that two settings can meet the same luck.
type luck struct {
	member   int
	launch   uint64            // seed of the launch drawn
	typical  bool              // the launch in the middle of the record instead
	over     [maxGears]float64 // engine speed at the end of torque
	time     [maxGears]float64 // shift times
	wind     float64
	density  float64
	grip     float64
	residual float64
	pressure float64 // effect of tyre pressure
	ratio    float64 // effect of launch engine speed
	nitrous  float64 // bottle
	brake    float64
	response float64 // how torque answers a change of boost
	torque   float64 // of another fuel, engine or turbo
	tyre     float64 // grip of another tyre
	spool    float64 // rotor of another turbo
	cooler   float64 // how far the charge follows the air's temperature
	line     float64 // how far boost at the line follows engine speed
	level    float64 // by what all measured trap speeds of the car err
	heat     float64 // what warmth costs by an ignition that nobody read
	spring   float64 // the wastegate's, where targets go under what was held
	limit    float64 // where a limiter that no log shows holds the engine
	thin     float64 // how torque answers another barometer
	shifted  float64 // how the car answers changes of gear beside those that were run
}

// draw makes luck number i of a seed.
func draw(seed uint64, i, members int) luck {
	r := xrand.Stream(seed, fmt.Sprintf("forecast/draw/%d", i))
	l := luck{member: i % members, launch: r.Uint64()}
	for g := range l.over {
		l.over[g] = normal(r)
	}
	for g := range l.time {
		l.time[g] = normal(r)
	}
	for _, p := range []*float64{&l.wind, &l.density, &l.grip, &l.residual, &l.pressure, &l.ratio, &l.nitrous, &l.brake, &l.response, &l.torque, &l.tyre, &l.spool, &l.cooler, &l.line, &l.spring, &l.heat, &l.level, &l.thin, &l.limit} {
		*p = normal(r)
	}
	l.shifted = evenly(i)
	return l
}

func normal(r *rand.Rand) float64 { return max(-3.5, min(3.5, r.NormFloat64())) }
