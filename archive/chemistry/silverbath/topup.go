package silverbath

import "fmt"

// TopUp is what brings a bath back: dissolve the crystals in the water, then
// add.
type TopUp struct {
	SilverNitrateG float64
	WaterMl        float64
	// PercentWV and VolumeMl are what the bath has afterwards.
	PercentWV, VolumeMl float64
	// TooStrong: with that water the bath is still above the target, so no
	// crystals are wanted.
	TooStrong bool
}

// Restore returns the crystals and water that bring volumeMl of a bath of
// presentPercent to targetPercent (both % w/v) in targetMl. With targetMl 0, or
// less than there is, no water is counted, and the crystals are
// (target − present) · volume / 100: the small volume they add themselves is
// ignored (common practice).
func Restore(presentPercent, volumeMl, targetPercent, targetMl float64) TopUp {
	targetMl = max(targetMl, volumeMl)
	grams := (targetPercent*targetMl - presentPercent*volumeMl) / 100
	t := TopUp{SilverNitrateG: max(grams, 0), WaterMl: targetMl - volumeMl, PercentWV: targetPercent, VolumeMl: targetMl, TooStrong: grams < 0}
	if t.TooStrong && targetMl > 0 {
		t.PercentWV = presentPercent * volumeMl / targetMl
	}
	return t
}

// Said writes the top-up: "16.2 g of silver nitrate in 24 ml of distilled water
// bring it to 9.3 % in 2200 ml".
func (t TopUp) Said() string {
	what := fmt.Sprintf("%.1f g of silver nitrate in %.0f ml of distilled water bring", t.SilverNitrateG, t.WaterMl)
	switch {
	case t.SilverNitrateG < 0.05 && t.WaterMl < 0.5:
		return "nothing is wanted"
	case t.SilverNitrateG < 0.05:
		what = fmt.Sprintf("%.0f ml of distilled water and no crystals bring", t.WaterMl)
	case t.WaterMl < 0.5:
		what = fmt.Sprintf("%.1f g of silver nitrate and no more water bring", t.SilverNitrateG)
	}
	return fmt.Sprintf("%s it to %.1f %% in %.0f ml", what, t.PercentWV, t.VolumeMl)
}
