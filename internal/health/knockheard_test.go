package health

import (
	"math/rand/v2"
	"testing"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// Knock rings the whole block: what one sensor hears counts for as much as the other hears with
// it; one by itself has nobody to ask.
func TestHeardElsewhere(t *testing.T) {
	speed := 700.0 // rad/s
	bin := int(speed / knockBin)
	levels := []KnockLevel{{From: float64(bin) * knockBin, To: float64(bin+1) * knockBin, High: 1.1}}
	r := rand.New(rand.NewPCG(8, 2))
	ear := func(index int, pulses []float64) *dictionary.Channel {
		c := &dictionary.Channel{Name: string(rune('a' + index)), Quantity: quantity.Knock, Index: index, RateHz: 100}
		for i := range 1000 {
			at, v := float64(i)*0.01, 1+0.05*r.NormFloat64()
			for _, p := range pulses {
				if at >= p && at < p+0.03 {
					v += 2
				}
			}
			c.Trace.T, c.Trace.V = append(c.Trace.T, at), append(c.Trace.V, v)
		}
		return c
	}
	at := []float64{2, 3, 4, 5, 6}
	for _, c := range []struct {
		name   string
		second []float64
		share  float64
		alone  bool
	}{
		{"both", []float64{2, 3.02, 4, 5, 6.01}, 1, false},
		{"some", []float64{3, 5}, 0.4, false},
		{"one", nil, 0, false},
		{"no other", nil, 0, true},
	} {
		first, second := ear(1, at), ear(2, c.second)
		set := &dictionary.Set{Channels: []dictionary.Channel{*first}}
		known := []KnockBackground{{Sensor: first.Name, Bins: levels}}
		if !c.alone {
			set.Channels = append(set.Channels, *second)
			known = append(known, KnockBackground{Sensor: second.Name, Bins: levels})
		}
		j := &judge{frame: atFullThrottle(set, speed)}
		share, others := j.heardElsewhere(at, first, known)
		if others == c.alone || share < c.share-0.01 || share > c.share+0.01 {
			t.Errorf("%s: share %.2f (%v), want %.2f", c.name, share, others, c.share)
		}
	}
}

// atFullThrottle is ten seconds in one gear at one engine speed, rad/s.
func atFullThrottle(set *dictionary.Set, speed float64) *frame {
	f := &frame{set: &source{Set: set}, n: int(10 / cell)}
	for i := range f.n {
		f.t = append(f.t, float64(i)*cell)
		f.full, f.since, f.speed = append(f.full, true), append(f.since, 1), append(f.speed, speed)
	}
	return f
}

// A sensor that hears everything louder today hears no knocks; a few pulses leave its
// middle reading where it is.
func TestALouderSensorIsNoKnock(t *testing.T) {
	speed := 700.0 // rad/s
	bin := int(speed / knockBin)
	b := KnockBackground{Bins: []KnockLevel{{From: float64(bin) * knockBin, Median: 1, High: 1.13}}, Rare: 1.3}
	for _, c := range []struct {
		gain   float64
		pulses int
		events int
	}{{1, 0, 0}, {1, 5, 5}, {1.4, 0, 0}, {1.4, 5, 5}, {0.8, 0, 0}} {
		r := rand.New(rand.NewPCG(9, 4))
		ch := &dictionary.Channel{Name: "a", Quantity: quantity.Knock, RateHz: 100}
		for i := range 1000 {
			v := c.gain * (1 + 0.06*r.NormFloat64())
			if k := i / 150; i%150 == 75 && k < c.pulses {
				v += 2
			}
			ch.Trace.T, ch.Trace.V = append(ch.Trace.T, float64(i)*0.01), append(ch.Trace.V, v)
		}
		at, _, _ := atFullThrottle(&dictionary.Set{Channels: []dictionary.Channel{*ch}}, speed).exceedances(ch, b, 1)
		if n := len(at); n != c.events {
			t.Errorf("gain %.1f, %d pulses: %d events, want %d", c.gain, c.pulses, n, c.events)
		}
	}
}
