package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Interval is a closed interval.
type Interval struct{ Lo, Hi float64 }

// Width is Hi - Lo.
func (i Interval) Width() float64 { return i.Hi - i.Lo }

// Contains says whether v lies in the interval, ends included.
func (i Interval) Contains(v float64) bool { return v >= i.Lo && v <= i.Hi }

// Level95 is the level of every interval the tool shows.
const Level95 = 0.95

// NormalQuantile is the standard normal quantile for a two-sided level, such
// as 1.959963984540054 for 0.95.
func NormalQuantile(level float64) (float64, error) {
	if !(level > 0 && level < 1) {
		return 0, fmt.Errorf("level %v: must lie between 0 and 1: %w", level, ErrArgument)
	}
	return distuv.UnitNormal.Quantile(0.5 + level/2), nil
}

func twoSidedNormalP(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }
