package silverbath

import "math"

// DefaultFloor is the strength under which a bath made at the given % w/v wants
// strengthening: half a per cent under, and never under 8 % for a bath made
// stronger than that. Common practice; Schriever strengthens below 45 grains to
// the ounce.
func DefaultFloor(madePercent float64) float64 {
	floor := max(madePercent-0.5, 0)
	if madePercent > 8 {
		floor = max(floor, 8)
	}
	return floor
}

// ToTarget is the top-up that brings the bath back to a strength and to the
// volume it was made in.
func (a Account) ToTarget(targetPercent float64) TopUp {
	return Restore(a.PercentWV, a.VolumeMl, targetPercent, a.Made.VolumeMl)
}

// PlatesToFloor estimates how many more plates, like those since the last
// reading or top-up, bring the bath to its floor. It is false when no plate
// tells, or the bath is there already.
//
// With silver c g and liquid d ml per plate, strength s g/ml falls as
// ds/dn = −c/(V − nd), so n = V/d · (1 − exp(−d(s − f)/c)), or V(s − f)/c when
// nothing is carried off; V is taken half a plate early, because each plate
// takes its silver before it carries liquid off.
func (a Account) PlatesToFloor() (int, bool) {
	if a.use.plates == 0 || a.use.consumed <= 0 || a.PercentWV <= a.Floor || a.VolumeMl <= 0 {
		return 0, false
	}
	c := a.use.consumed / float64(a.use.plates)
	d := a.use.liquids / float64(a.use.plates)
	room := (a.PercentWV - a.Floor) / 100
	n := a.VolumeMl * room / c
	if d > 0 {
		n = (a.VolumeMl + d/2) / d * -math.Expm1(-d*room/c)
	}
	return int(n), true
}
