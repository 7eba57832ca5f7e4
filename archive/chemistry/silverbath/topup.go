package silverbath

// TopUp is what brings a bath back: dissolve the crystals in the water, then
// add.
type TopUp struct {
	SilverNitrateG float64
	WaterMl        float64
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
	return TopUp{SilverNitrateG: max(grams, 0), WaterMl: targetMl - volumeMl, TooStrong: grams < 0}
}
