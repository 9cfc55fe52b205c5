package plan

import (
	"math"
	"slices"
	"sync"

	"traplight/internal/fitcar"
	"traplight/internal/sim"
)

// gauge turns the model's flow, head, power and torque into what a sheet limits, by
// the car's own logs: what was read in a gear, and what the model had there.
type gauge struct {
	car                                     *sim.Car // of the member
	duty, flow, back, turbo, input, exhaust meter
	fed                                     []bool    // by gear: nitrous was on when the exhaust was read hottest
	peak                                    []float64 // Pa gauge by gear, the model's highest boost in the passes of the record
	most                                    most
}

// most is the model's highest figures in the passes of the record.
type most struct {
	flow  float64 // 1, of the reference
	head  float64 // 1, of the compressor
	speed float64 // 1, rotor's
	back  float64 // 1, back-pressure ratio by the power balance
	power float64 // W, crank
}

// see takes a gear of a replay at a barometer, Pa absolute; over, Pa, is what the peak read
// exceeds the replay's by.
func (q *most) see(b *sim.Boost, g *sim.Gear, r rotor, barometer, over float64) {
	q.flow, q.power = max(q.flow, g.MaxFlow), max(q.power, g.MaxPower)
	q.head, q.speed = max(q.head, overHead(barometer, g, over)), max(q.speed, r.spiked(barometer, g, over))
	q.back = max(q.back, backOf(b, g))
}

// meter is one reading of the logs against the model's figure for it, by gear (from
// 0). NaN where no channel shows it.
type meter struct {
	read  []float64 // own unit, highest reading in the gear
	model []float64 // own unit of the model's figure, highest in the gear
}

func newMeter(gears int) meter {
	m := meter{make([]float64, gears), make([]float64, gears)}
	for i := range m.read {
		m.read[i], m.model[i] = math.NaN(), math.NaN()
	}
	return m
}

// see takes a reading and tells whether it counts.
func (m *meter) see(gear int, read, model float64) bool {
	if gear < 1 || gear > len(m.read) || math.IsNaN(read) || read <= 0 || !(model > 0) {
		return false
	}
	// of several passes the one nearest to the limit counts
	if i := gear - 1; math.IsNaN(m.read[i]) || read > m.read[i] {
		m.read[i], m.model[i] = read, model
		return true
	}
	return false
}

// unreadBlur is the spread, 1, where a gear's reading is taken from other gears'.
const unreadBlur = 0.04

// known tells whether any gear was read.
func (m *meter) known() bool {
	for _, v := range m.read {
		if !math.IsNaN(v) {
			return true
		}
	}
	return false
}

// at predicts the reading in a gear (from 1) for the model's figure, by proportion,
// and how far off that may be, as a share: readings repeat within base where nothing is
// changed, and doubt is the share of every change that may be wrong. NaN when nothing
// was read.
func (m *meter) at(gear int, model, base, doubt float64) (value, blur float64) {
	i := gear - 1
	if i >= len(m.read) || math.IsNaN(m.read[i]) {
		// the mean ratio of the gears that were read, doubted more
		return m.mean() * model, unreadBlur
	}
	change := model/m.model[i] - 1
	if change < 0 {
		doubt *= 0.3 // below what was run the reading is bounded by it
	}
	return m.read[i] * (1 + change), math.Hypot(base, doubt*change)
}

// most is the highest reading, own unit; 0 when nothing was read.
func (m *meter) most() (v float64) {
	for _, r := range m.read {
		if r > v { // not a number: not read
			v = r
		}
	}
	return v
}

// fuel is the need of fuel in a gear (from 1) for the model's flow, 1, over the most of the record, 1: as
// flow meter or duty have it by gear, else as the model has it.
func (g *gauge) fuel(gear int, flow float64) float64 {
	for _, m := range [...]*meter{&g.flow, &g.duty} {
		if most := m.most(); most > 0 {
			v, _ := m.at(gear, flow, 0, 0)
			return v / most
		}
	}
	if g.most.flow <= 0 {
		return math.NaN()
	}
	return flow / g.most.flow
}

// mean is the mean of reading over model, 1; NaN when nothing was read.
func (m *meter) mean() float64 {
	sum, n := 0.0, 0.0
	for k, r := range m.read {
		if !math.IsNaN(r) {
			sum, n = sum+r/m.model[k], n+1
		}
	}
	if n == 0 {
		return math.NaN()
	}
	return sum / n
}

// biteShare is by how much more, 1, than in the middle of the gears a gear's torque may
// be read over the model's and still be that of the pull: beyond it the clutch was closing,
// and what the flywheel gave up with it was read.
const biteShare = 1.12

// usual is the middle of the gears' readings over the model's figures, 1; NaN when nothing
// was read.
func (m *meter) usual() float64 {
	var all []float64
	for k, r := range m.read {
		if !math.IsNaN(r) {
			all = append(all, r/m.model[k])
		}
	}
	if len(all) == 0 {
		return math.NaN()
	}
	slices.Sort(all)
	return all[(len(all)-1)/2]
}

// pull is at for a reading that is a short peak with the clutch closed: where one gear's
// was missed by the log's rate, or was that of the closing clutch, the middle of the gears
// stands for it.
func (m *meter) pull(gear int, model, base, doubt float64) (value, blur float64) {
	usual := m.usual()
	if i := gear - 1; i < len(m.read) && m.read[i] > biteShare*usual*m.model[i] {
		return usual * model, unreadBlur
	}
	value, blur = m.at(gear, model, base, doubt)
	return max(value, usual*model), blur
}

// calibrateAll reads one gauge for each member of the ensemble. A member that makes more
// power than another made it in the passes of the record as well, under the same reading:
// what the fit does not know is in doubt only where the settings change.
func calibrateAll(m *fitcar.Model, r rotor, over [][]float64) []gauge {
	out := make([]gauge, len(m.Members))
	var wg sync.WaitGroup
	for i := range out {
		wg.Go(func() { out[i] = calibrate(m, &m.Members[i], r, over) })
	}
	wg.Wait()
	return out
}

// calibrate reads the gauge from a member's replays; over is what each pass's peak of boost
// exceeds the replay's by, Pa by pass and gear.
func calibrate(m *fitcar.Model, mem *fitcar.Member, turbo rotor, over [][]float64) gauge {
	n := len(m.Mean.Car.Ratios)
	g := gauge{mem.Car, newMeter(n), newMeter(n), newMeter(n), newMeter(n), newMeter(n), newMeter(n), make([]bool, n), make([]float64, n), most{}}
	for k := range m.Passes {
		car, p := m.Replay(mem, k)
		if car == nil || m.Passes[k].Weight < 0.5 {
			continue
		}
		r := sim.Runner{Car: car, Watch: true, Rel: sim.Rough}
		res, err := r.Run(p)
		if err != nil {
			continue
		}
		for _, sg := range res.Gears {
			if i := sg.Gear - 1; i >= 0 && i < n {
				g.most.see(&mem.Car.Boost, &sg, turbo, p.Air.Pressure, over[k][i])
				g.peak[i] = max(g.peak[i], sg.MaxBoost)
			}
			for _, og := range m.Passes[k].Obs.Gears {
				if og.Gear != sg.Gear {
					continue
				}
				g.duty.see(og.Gear, og.Duty, sg.MaxFlow)
				g.flow.see(og.Gear, og.Flow, sg.MaxFlow)
				g.back.see(og.Gear, og.Back, backOf(&mem.Car.Boost, &sg))
				g.turbo.see(og.Gear, og.Turbo, turbo.spiked(p.Air.Pressure, &sg, 0))
				if !g.input.see(og.Gear, og.Pull, sg.MaxInput) && math.IsNaN(og.Pull) {
					g.input.see(og.Gear, og.Input, sg.MaxInput)
				}
				if g.exhaust.see(og.Gear, og.Exhaust, sg.MaxPower) {
					g.fed[og.Gear-1] = p.Nitrous && car.Nitrous.In(og.Gear, p.Start.Gear)
				}
			}
		}
	}
	return g
}

// hotter is the exhaust temperature, K, in a gear by its highest reading there, and its
// spread, K: where the log has no course of it that heat could be fitted to. armed says
// that nitrous is on there that was not when it was read.
func (g *gauge) hotter(sg *sim.Gear, armed bool) (value, sd float64) {
	read, was := g.exhaust.read[sg.Gear-1], g.exhaust.model[sg.Gear-1]
	double := math.Log2(max(0.1, sg.MaxPower/was))
	rise, sd := exhaustRise*double, math.Hypot(exhaustRepeat, exhaustSD*double)
	if double < 0 {
		// less power is not hotter; it is counted on for little
		rise, sd = exhaustFall*double, exhaustRepeat
	}
	if armed {
		rise, sd = rise+nitrousHeat, math.Hypot(sd, nitrousHeatSD)
	}
	return read + rise, sd
}
