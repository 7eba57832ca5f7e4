package chemistry

import (
	"errors"
	"fmt"
)

// ErrNoVolume is returned when a recipe of absolute amounts has no volume to
// scale from.
var ErrNoVolume = errors.New("the recipe has no volume to scale from: add volume_ml to the batch")

// To scales the recipe to a volume in millilitres, which must be above nothing
// and at most 100 litres.
func (r Recipe) To(ml float64) (Recipe, error) {
	if !(ml > 0 && ml <= 1e5) {
		return Recipe{}, fmt.Errorf("cannot scale to %v ml: a volume above nothing and at most 100 000 ml", ml)
	}
	for _, l := range r.Lines {
		if r.VolumeMl == 0 && (l.absoluteGrams > 0 || l.absoluteVolumes > 0) {
			return Recipe{}, ErrNoVolume
		}
	}
	out := r
	out.VolumeMl, out.Summed = ml, false
	out.Lines = make([]Line, len(r.Lines))
	for i, l := range r.Lines {
		if r.VolumeMl > 0 {
			k := ml / r.VolumeMl
			l.absoluteGrams *= k
			l.absoluteVolumes *= k
		}
		out.Lines[i] = l
	}
	out.spread()
	return out, nil
}
