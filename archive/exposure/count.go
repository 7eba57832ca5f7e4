package exposure

import (
	"math"
	"strconv"
)

// Rounding says which way a time may move when it is made countable.
type Rounding int

// Nearest is for the time to set; Down and Up are for the lower and the
// upper limit of an interval, which is rounded outward.
const (
	Nearest Rounding = iota
	Down
	Up
)

// Countable rounds a time in seconds to what a photographer counts with the
// lens cap in hand: half seconds under 10 s, whole seconds under 30 s, five
// seconds under two minutes, ten seconds beyond. Under half a second, where
// a shutter is needed, two significant digits stay, so that no time becomes
// zero.
func Countable(seconds float64, way Rounding) float64 {
	if !(seconds > 0) || math.IsInf(seconds, 0) {
		return seconds
	}
	step := countingStep(seconds)
	n := seconds / step
	// A value a rounding error away from a step is on it.
	if r := math.Round(n); math.Abs(n-r) < 1e-9*math.Max(1, r) {
		n = r
	}
	switch way {
	case Down:
		n = math.Floor(n)
	case Up:
		n = math.Ceil(n)
	default:
		n = math.Round(n)
	}
	if step < 1 && step != 0.5 {
		// A decimal step is not exact in binary: leave the digits clean.
		v, _ := strconv.ParseFloat(strconv.FormatFloat(n*step, 'g', 2, 64), 64)
		return v
	}
	return n * step
}

func countingStep(seconds float64) float64 {
	switch {
	case seconds < 0.5:
		return math.Pow(10, math.Floor(math.Log10(seconds))-1)
	case seconds < 10:
		return 0.5
	case seconds < 30:
		return 1
	case seconds < 120:
		return 5
	}
	return 10
}

// HalfStopBracket gives the times half a stop shorter and half a stop longer.
func HalfStopBracket(seconds float64) (shorter, longer float64) {
	return seconds / math.Sqrt2, seconds * math.Sqrt2
}
