package main

import (
	"fmt"

	"traplight/internal/dictionary"
	"traplight/internal/quantity"
)

// Naming is a channel whose meaning was compared with the truth.
type Naming struct {
	Log     string `json:"log"`
	Channel string `json:"channel"`
	Got     string `json:"got"`
	Want    string `json:"want"`
	Right   bool   `json:"right"`
}

// sameMeaning lists quantities that may stand for each other: an intake
// temperature after the cooler is the charge temperature.
var sameMeaning = map[quantity.Name]quantity.Name{
	quantity.ChargeTemperature: quantity.IntakeTemperature,
	quantity.FuelVolumeFlow:    quantity.FuelFlow,
}

func meaning(q quantity.Name) quantity.Name {
	if m, ok := sameMeaning[q]; ok {
		return m
	}
	return q
}

// compareNames holds the dictionary to the truth's quantities.
func compareNames(out *Findings, v *variantLog, set *dictionary.Set) {
	for i := range v.Columns {
		q := v.quantityOf(i)
		want, known := truthQuantities[q]
		if !known {
			continue
		}
		n := Naming{Log: v.truth.ID, Channel: v.Columns[i].Name, Want: string(want.name)}
		for k := range set.Channels {
			if c := &set.Channels[k]; c.Name == v.Columns[i].Name {
				n.Got = string(c.Quantity)
				n.Right = meaning(c.Quantity) == meaning(want.name) && (want.index == 0 || c.Index == 0 || c.Index == want.index)
				if c.Index > 0 {
					n.Got += fmt.Sprintf("[%d]", c.Index)
				}
				break
			}
		}
		out.Names = append(out.Names, n)
	}
}

// namesLine sums up the channels' meanings; the wrong ones follow.
func namesLine(names []Naming) (text string, wrong []string) {
	right := 0
	for _, n := range names {
		if n.Right {
			right++
			continue
		}
		got := n.Got
		if got == "" {
			got = "nothing known"
		}
		wrong = append(wrong, fmt.Sprintf("CHANNEL %s %q taken for %s, truth %s", n.Log, n.Channel, got, n.Want))
	}
	return fmt.Sprintf("%d of %d channels understood", right, len(names)), wrong
}
