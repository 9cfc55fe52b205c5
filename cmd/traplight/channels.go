package main

import (
	"context"
	"errors"
	"fmt"

	"traplight/internal/app"
	"traplight/internal/report"
)

type channelsCmd struct {
	Log  string   `arg:"" help:"Log file, or a pass in the store by name." type:"path"`
	Car  []string `placeholder:"CAR.toml" help:"Car sheet with corrections in [channels]." type:"path"`
	Set  []string `placeholder:"NAME=QUANTITY" sep:"none" help:"Remember in the store what a channel means on this car, as in 'EGT 1=exhaust_temperature[1] °C'; with nothing behind the sign it is guessed again. May be repeated."`
	JSON bool     `name:"json" help:"Print as JSON."`
	storeFlags
}

func (*channelsCmd) Help() string {
	return `Lists the channels of a log: what each is taken for, in which unit, at which true rate, how sure that is, between which readings it lies, how it looks over the log and what is wrong with its samples.

A wrong guess is corrected in the car sheet ([channels] "name in the log" = "quantity"), or with --set for a car in the store: it is then remembered for all logs of that car, and the reports that it concerns are made anew. "none" takes a channel out.

Examples:
  traplight channels m03_marl.csv
  traplight channels m03_marl.csv --car car_marl.toml --json
  traplight channels last --set 'Tyre pressure driven=tyre_pressure psi' --set 'Ambient pressure=none'` + exitCodes
}

func (c *channelsCmd) Run(ctx context.Context, w *world) error {
	if len(c.Set) > 0 {
		if len(c.Car) > 0 {
			return usageError{errors.New("--set remembers in the store; with a car sheet write it there, under [channels]")}
		}
		err := app.Settle(ctx, app.SettleRequest{Data: c.Data, Program: programName(), Log: c.Log, Set: c.Set}, func(a app.Added) {
			if a.Err != nil {
				w.complain(a.Err)
			} else if a.File != "" {
				fmt.Fprintln(w.err, "traplight: "+a.File+": "+a.Outcome)
			}
		})
		if err != nil {
			return err
		}
	}
	log, set, err := app.Channels(ctx, c.Data, programName(), c.Log, c.Car)
	if err != nil {
		return err
	}
	info := report.Channels(log, set)
	if c.JSON {
		return report.WriteJSON(w.out, info)
	}
	return report.WriteChannels(w.out, info, set, append(log.Notes, set.Notes...))
}
