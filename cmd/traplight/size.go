package main

import (
	"context"
	"slices"

	"traplight/internal/app"
	"traplight/internal/report"
)

type sizeCmd struct {
	Logs      []string `arg:"" name:"log" optional:"" help:"Logs of the car's own passes, or passes in the store by name: what they show replaces what would be assumed." type:"path"`
	History   []string `placeholder:"LOG" help:"The same as LOG, as other commands call them; may be repeated." type:"path"`
	Car       []string `placeholder:"CAR.toml" help:"Car sheet; of several the last is the car as it is to be built. Or the name of a car in the store: its logs run last serve. With passes by name the store's sheet serves." type:"path"`
	Target    string   `placeholder:"200mph" help:"Trap speed with its unit; without it that of the car sheet."`
	Notes     string   `placeholder:"NOTES.toml" help:"Notes with the strip, its shut-down length and weather." type:"path"`
	Strip     string   `placeholder:"ID" help:"Strip of the notes."`
	Pass      string   `placeholder:"ID" help:"Noted or planned pass whose weather is taken; else a warm day."`
	Map       string   `placeholder:"MAP.csv" help:"Digitised compressor map; without it that of the car sheet, if it names one." type:"path"`
	Turbine   []string `placeholder:"LINE.csv" help:"Digitised swallowing line of a turbine in a housing; may be repeated." type:"path"`
	Turbos    int      `placeholder:"N" help:"Turbos that share the air, if not as in the car sheet."`
	FreeBoost bool     `name:"free-boost" help:"Let every gear have the torque that its tyres carry, not the sheet's boost by gear."`
	Seed      uint64   `default:"0" help:"Another seed draws other cases."`
	Units     string   `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric, si, or auto for those of the car sheet (${env})."`
	JSON      bool     `name:"json" help:"Print as JSON, all SI."`
	storeFlags
}

func (*sizeCmd) Help() string {
	return `Before the season: from a target trap speed and the car sheet to the power needed, air flow, boost and pressure ratio, the compressor's place on its map, turbine and housing, injectors, pump and fuel line, gearing and rev drop, torque by gear against the gearbox, tyre speed, the way to stop and what the brakes take. Each figure comes with the bounds between which it lies in nine cases of ten, with method and source.

For the forms of the map files see traplight help sizing.

Examples:
  traplight size --car car_marl.toml --target 200mph
  traplight size --car car_marl.toml --map compressor.csv --turbine turbine.csv
  traplight size m01_marl.csv m02_marl.csv --car car_marl.toml --notes passes.toml --target 320km/h
  traplight size --car marl --target 200mph` + exitCodes
}

func (c *sizeCmd) Run(ctx context.Context, w *world) error {
	q := app.SizeRequest{
		Cars: c.Car, Notes: c.Notes, Logs: slices.Concat(c.History, c.Logs), Target: c.Target, Strip: c.Strip, Pass: c.Pass, Map: c.Map, Turbines: c.Turbine,
		Turbos: c.Turbos, FreeBoost: c.FreeBoost, Seed: c.Seed, Progress: w.progress(),
	}
	n, err := q.Resolve(ctx, c.Data, programName())
	if err != nil {
		return err
	}
	defer n.Close()
	r, err := app.Size(ctx, q)
	w.progressDone()
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, r.Result)
	}
	return r.WriteText(w.text(), report.World(c.Units, r.Units))
}
