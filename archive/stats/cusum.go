package stats

import (
	"fmt"
	"math"
)

// CUSUM is a two-sided tabular cumulative sum chart.
type CUSUM struct {
	Hi, Lo []float64
	Signal int // first observation with Hi or Lo above the limit, -1 if none
	Change int // first observation after the sum that signalled last stood at zero
}

// CUSUMChart runs Hi_t = max(0, Hi_{t-1} + x_t - target - k) and
// Lo_t = max(0, Lo_{t-1} + target - k - x_t) and signals above h
// (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3). The last zero
// before the signal estimates where the change began (E. S. Page, Biometrika
// 41 (1954) 100-115).
func CUSUMChart(x []float64, target, k, h float64) (CUSUM, error) {
	if len(x) == 0 {
		return CUSUM{}, fmt.Errorf("cumulative sums: %w", ErrNoData)
	}
	if !(k >= 0) || !(h > 0) {
		return CUSUM{}, fmt.Errorf("allowance %v, limit %v: %w", k, h, ErrArgument)
	}
	c := CUSUM{Hi: make([]float64, len(x)), Lo: make([]float64, len(x)), Signal: -1, Change: -1}
	var hi, lo float64
	var hiFrom, loFrom int
	for t, v := range x {
		if math.IsNaN(v) {
			return CUSUM{}, fmt.Errorf("observation %d is not a number: %w", t+1, ErrArgument)
		}
		hi = math.Max(0, hi+v-target-k)
		lo = math.Max(0, lo+target-k-v)
		if hi == 0 {
			hiFrom = t + 1
		}
		if lo == 0 {
			loFrom = t + 1
		}
		c.Hi[t], c.Lo[t] = hi, lo
		if c.Signal < 0 && (hi > h || lo > h) {
			c.Signal, c.Change = t, hiFrom
			if lo > h {
				c.Change = loFrom
			}
		}
	}
	return c, nil
}
