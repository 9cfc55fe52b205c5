package main

import (
	"traplight/internal/app"
	"traplight/internal/report"
)

type channelsCmd struct {
	Log  string `arg:"" help:"Log file." type:"path"`
	Car  string `placeholder:"CAR.toml" help:"Car sheet with corrections in [channels]." type:"path"`
	JSON bool   `name:"json" help:"Print as JSON."`
}

func (*channelsCmd) Help() string {
	return `Lists the channels of a log: what each is taken for, in which unit, at which true rate, how sure that is and what is wrong with its samples. A wrong guess is corrected in the car sheet: [channels] "name in the log" = "quantity".

Examples:
  traplight channels pass3.csv
  traplight channels pass3.csv --car car.toml --json` + exitCodes
}

func (c *channelsCmd) Run(w *world) error {
	log, set, err := app.Channels(c.Log, c.Car)
	if err != nil {
		return err
	}
	info := report.Channels(log, set)
	if c.JSON {
		return report.WriteJSON(w.out, info)
	}
	return report.WriteChannels(w.out, info, append(log.Notes, set.Notes...))
}
