package app

import (
	"fmt"

	"traplight/internal/align"
	"traplight/internal/quantity"
)

// mergeRecorders joins logs of one pass that two recorders wrote: one of the engine, one
// that saw no engine. The engine's log leads and gains the other's channels; the other
// is no longer a source of its own.
func (a *Analysis) mergeRecorders() {
	for i := 0; i < len(a.Sources); i++ {
		lead := &a.Sources[i]
		if lead.Set.First(quantity.EngineSpeed) == nil {
			continue
		}
		own := align.Speed(lead.Set)
		if own == nil {
			continue
		}
		for k := 0; k < len(a.Sources); k++ {
			other := &a.Sources[k]
			if k == i || other.Set.First(quantity.EngineSpeed) != nil {
				continue
			}
			speed := align.Speed(other.Set)
			if speed == nil {
				continue
			}
			o, err := align.Find(own.Trace, speed.Trace)
			if err != nil {
				if len(a.Sources) == 2 {
					a.joined[lead.Log] = append(a.joined[lead.Log], fmt.Sprintf("%s has no engine speed, but is no second recorder's log of %s: %v", other.Log.File, lead.Log.File, err))
				}
				continue
			}
			lead.Set = align.Merge(lead.Set, other.Set, o)
			a.joined[lead.Log] = append(a.joined[lead.Log], fmt.Sprintf("%s shows the same movement as %s and is merged into it, %+.3f ± %.3f s later on its clock", other.Log.File, lead.Log.File, o.Seconds.Value, o.Seconds.SD))
			a.Sources = append(a.Sources[:k], a.Sources[k+1:]...)
			if k < i {
				i--
			}
			k--
			lead = &a.Sources[i]
		}
	}
}
