package main

import (
	"traplight/internal/app"
	"traplight/internal/report"
)

type airCmd struct {
	Temp      string `required:"" placeholder:"21C" help:"Air temperature with its unit."`
	Pressure  string `placeholder:"1008hPa" help:"Pressure as read at the place."`
	Altimeter string `placeholder:"1013hPa" help:"Pressure set to sea level, as weather services give it; needs --elevation."`
	Elevation string `placeholder:"210m" help:"Elevation of the place."`
	Humidity  string `placeholder:"45%" help:"Relative humidity."`
	DewPoint  string `placeholder:"9C" help:"Dew point, instead of the humidity."`
	Units     string `enum:"auto,us,metric,si," default:"auto" env:"TRAPLIGHT_UNITS" help:"Units of the text: us, metric or si (${env})."`
	JSON      bool   `name:"json" help:"Print as JSON, all SI."`
}

func (*airCmd) Help() string {
	return `Density of moist air (CIPM-2007), the altitudes of the standard atmosphere that have it and the pressure, and the published corrections of power (SAE J1349, ISO 1585, SAE J607, DIN 70020) for comparison.

Examples:
  traplight air --temp 21C --pressure 1008hPa --humidity 44%
  traplight air --temp 70F --altimeter 29.92inHg --elevation 690ft --dew-point 48F` + exitCodes
}

func (c *airCmd) Run(w *world) error {
	a, err := app.Air(app.AirRequest{
		Temp: c.Temp, Station: c.Pressure, Altimeter: c.Altimeter, Elevation: c.Elevation,
		Humidity: c.Humidity, DewPoint: c.DewPoint,
	})
	if err != nil {
		return err
	}
	if c.JSON {
		return report.WriteJSON(w.out, a)
	}
	return a.WriteText(w.text(), c.Units)
}
