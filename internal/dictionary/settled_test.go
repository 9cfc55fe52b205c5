package dictionary

import (
	"math"
	"slices"
	"strings"
	"testing"

	"traplight/internal/logfile"
	"traplight/internal/quantity"
)

// aPull is 20 s of a log: standing, a pull, a lift. Shares, Pa, K, rad/s as named.
func aPull() (l *logfile.Log, open []float64) {
	const n = 2000
	l = &logfile.Log{RowStep: 0.01, Parts: []int{0}}
	open = make([]float64, n)
	manifold, speed := make([]float64, n), make([]float64, n)
	for i := range n {
		t := float64(i) / 100
		l.RowTime = append(l.RowTime, t)
		open[i] = 1 / (1 + math.Exp(-20*(t-5))) / (1 + math.Exp(20*(t-16)))
		manifold[i] = math.Round(10*(30+220*open[i])) / 10
		speed[i] = math.Round(10*math.Max(0, min(t-5, 11))*18) / 10
	}
	l.Columns = []logfile.Column{{Name: "Manifold pressure", Unit: "kPa abs", Values: manifold}, {Name: "GPS speed", Unit: "km/h", Values: speed}}
	return l, open
}

// TestThrottleScales: a throttle is 0 closed and 1 open whatever its scale counts, and
// whichever way.
func TestThrottleScales(t *testing.T) {
	for _, c := range []struct {
		unit       string
		shut, open float64
	}{{"%", 0, 100}, {"%", 100, 0}, {"%", 12, 88}, {"deg", 4, 86}, {"deg", 86, 4}, {"V", 0.6, 4.5}, {"V", 4.5, 0.6}, {"mV", 600, 4500}, {"", 30, 1020}, {"0-1", 1, 0}} {
		l, open := aPull()
		v := make([]float64, len(open))
		for i, x := range open {
			v[i] = math.Round(1000*(c.shut+(c.open-c.shut)*x)) / 1000
		}
		l.Columns = append(l.Columns, logfile.Column{Name: "Throttle position", Unit: c.unit, Values: v})
		set := identified(t, l)
		ch := set.First(quantity.Throttle)
		if ch == nil {
			t.Errorf("%g to %g %s: not recognised", c.shut, c.open, c.unit)
			continue
		}
		for k, at := range ch.Trace.T {
			if want := open[int(math.Round(at*100))]; math.Abs(ch.Trace.V[k]-want) > 0.01 {
				t.Errorf("%g to %g %s: %v at %v s, want %v", c.shut, c.open, c.unit, ch.Trace.V[k], at, want)
				break
			}
		}
	}
}

// TestPressuresFromVacuum: fuel, coolant and oil that count from vacuum without saying so
// are found out by the regulator and the cap; gauges stay gauges.
func TestPressuresFromVacuum(t *testing.T) {
	for _, add := range []float64{0, 100} {
		l, open := aPull()
		fuel, coolant, oil := make([]float64, len(open)), make([]float64, len(open)), make([]float64, len(open))
		for i, x := range open {
			fuel[i] = 350 + 30 + 220*x - 100 + add
			coolant[i] = 45 + 20*float64(i)/2000 + add
			oil[i] = 180 + 320*x + add
		}
		l.Columns = append(l.Columns, logfile.Column{Name: "Fuel pressure", Unit: "kPa", Values: fuel}, logfile.Column{Name: "Coolant pressure", Unit: "kPa", Values: coolant},
			logfile.Column{Name: "Oil pressure", Unit: "kPa", Values: oil})
		set, err := Identify(l, Options{FuelBase: 350e3, Barometer: 100e3})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			q    quantity.Name
			want float64
		}{{quantity.FuelPressure, 280e3}, {quantity.CoolantPressure, 45e3}, {quantity.OilPressure, 180e3}} {
			if got := set.First(c.q).Trace.V[0]; math.Abs(got-c.want) > 500 {
				t.Errorf("%s counting from %g kPa: %v Pa over the barometer, want %v", c.q, -add, got, c.want)
			}
		}
		told := slices.ContainsFunc(set.Notes, func(n string) bool { return strings.Contains(n, "from vacuum") })
		if told != (add > 0) {
			t.Errorf("counting from %g kPa: told %v", -add, told)
		}
	}
}

// TestCopies: a reading that stands twice is one sensor.
func TestCopies(t *testing.T) {
	l, _ := aPull()
	mph := make([]float64, len(l.Columns[1].Values))
	for i, x := range l.Columns[1].Values {
		mph[i] = math.Round(100*x/1.609344) / 100
	}
	l.Columns = append(l.Columns, l.Columns[1], logfile.Column{Name: "GPS speed mph", Unit: "mph", Values: mph})
	set := identified(t, l)
	if n := len(set.All(quantity.GPSSpeed)); n != 1 {
		t.Errorf("%d satellite speeds, want 1", n)
	}
}

// TestFurtherNames: groups before a name, remarks behind it.
func TestFurtherNames(t *testing.T) {
	for name, want := range map[string]quantity.Name{
		"Engine/Wheel speed front left": quantity.WheelSpeedFL, "Chassis.GPS speed": quantity.GPSSpeed, `Log\Inputs\GPS speed`: quantity.GPSSpeed,
		"GPS_speed_raw": quantity.GPSSpeed, "GPS speed (corr)": quantity.GPSSpeed, "GPS speed corrected": quantity.GPSSpeed,
	} {
		l, _ := aPull()
		l.Columns[1].Name = name
		if got := identified(t, l).Channels[1].Quantity; got != want {
			t.Errorf("%q is taken for %q", name, got)
		}
	}
}

// TestDutchPedals: pedals are told apart by what is before the word.
func TestDutchPedals(t *testing.T) {
	for name, want := range map[string]quantity.Name{"Koppelingspedaal": quantity.Clutch, "Rempedaal": quantity.Brake, "Gaspedaal": quantity.Pedal} {
		if got, _ := bestOf(readName(splitName(name))); got != want {
			t.Errorf("%q is taken for %q", name, got)
		}
	}
}

// TestShaftBeforeFinalDrive: the shaft between gearbox and final drive tells the driven wheels'
// speed, by the satellite where there is one, else by engine speed; a shaft that turns with the
// wheels is left as it is.
func TestShaftBeforeFinalDrive(t *testing.T) {
	const final, circumference = 3.42, 2.05
	for _, c := range []struct {
		name, unit string
		turns      float64 // of the shaft in one of the wheels
		alone      bool    // no other speed is in the log
	}{
		{"Driveshaft RPM", "", final, false},
		{"DS RPM", "", final, false},
		{"Propshaft speed", "rpm", final, true},
		{"Driveshaft RPM", "", final, true},
		{"Driveshaft RPM", "", 1, false},
		{"Driveshaft RPM", "", 1, true},
	} {
		l, _ := aPull()
		speed := l.Columns[1].Values
		shaft, engine := make([]float64, len(speed)), make([]float64, len(speed))
		for i, x := range speed {
			wheel := x / 3.6 / circumference * 60
			shaft[i] = math.Round(c.turns * wheel)
			engine[i] = math.Round(math.Max(1200, wheel*final*1.2)) // a gear of 1.2 all through
		}
		want := speed[1500] / 3.6
		l.Columns = append(l.Columns, logfile.Column{Name: "Engine speed", Unit: "rpm", Values: engine}, logfile.Column{Name: c.name, Unit: c.unit, Values: shaft})
		if c.alone {
			l.Columns = append(l.Columns[:1:1], l.Columns[len(l.Columns)-2:]...)
		}
		set, err := Identify(l, Options{Circumference: circumference, FinalDrive: final})
		if err != nil {
			t.Fatal(err)
		}
		ch := set.First(quantity.DrivenSpeed)
		if ch == nil {
			t.Errorf("%+v: not recognised", c)
			continue
		}
		if got, _ := ch.Trace.At(15); math.Abs(got/want-1) > 0.002 {
			t.Errorf("%+v: %v m/s, want %v", c, got, want)
		}
	}
}

// TestWheelsInTurns: wheel speeds in turns, radians or teeth come to the same.
func TestWheelsInTurns(t *testing.T) {
	for _, c := range []struct {
		unit  string
		turns float64 // of the unit in one turn a second
	}{{"rpm", 60}, {"Hz", 1}, {"rad/s", 2 * math.Pi}, {"Hz", 48}, {"1/s", 1}} {
		l, _ := aPull()
		v := make([]float64, len(l.Columns[1].Values))
		for i, x := range l.Columns[1].Values {
			v[i] = math.Round(100*c.turns*x/3.6/2.05) / 100
		}
		l.Columns = append(l.Columns, logfile.Column{Name: "Wheel speed front left", Unit: c.unit, Values: v})
		set, err := Identify(l, Options{Circumference: 2.05})
		if err != nil {
			t.Fatal(err)
		}
		ch := set.First(quantity.WheelSpeedFL)
		if ch == nil {
			t.Errorf("%v a turn in %s: not recognised", c.turns, c.unit)
			continue
		}
		want := l.Columns[1].Values[1500] / 3.6
		if got, _ := ch.Trace.At(15); math.Abs(got/want-1) > 0.002 {
			t.Errorf("%v a turn in %s: %v m/s, want %v", c.turns, c.unit, got, want)
		}
	}
}
