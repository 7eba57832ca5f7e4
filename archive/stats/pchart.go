package stats

import (
	"fmt"
	"math"
)

// PChart is a control chart of proportions in samples.
type PChart struct {
	Mean    float64    // all defectives over all inspected
	Limits  []Interval // three-sigma limits of each sample, kept in [0, 1]
	Signals []int      // samples outside their limits, counted from 0
}

// PChartOf gives the limits p̄ ± 3·sqrt(p̄(1-p̄)/n) for k[i] cases among n[i]
// (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.3.2).
func PChartOf(k, n []int) (PChart, error) {
	if len(k) != len(n) {
		return PChart{}, fmt.Errorf("%d counts, %d sizes: %w", len(k), len(n), ErrArgument)
	}
	var sumK, sumN int
	for i := range k {
		if k[i] < 0 || n[i] <= 0 || k[i] > n[i] {
			return PChart{}, fmt.Errorf("sample %d: %d of %d: %w", i+1, k[i], n[i], ErrArgument)
		}
		sumK, sumN = sumK+k[i], sumN+n[i]
	}
	if sumN == 0 {
		return PChart{}, fmt.Errorf("chart of proportions: %w", ErrNoData)
	}
	c := PChart{Mean: float64(sumK) / float64(sumN), Limits: make([]Interval, len(k))}
	for i := range k {
		half := 3 * math.Sqrt(c.Mean*(1-c.Mean)/float64(n[i]))
		c.Limits[i] = Interval{math.Max(0, c.Mean-half), math.Min(1, c.Mean+half)}
		if !c.Limits[i].Contains(float64(k[i]) / float64(n[i])) {
			c.Signals = append(c.Signals, i)
		}
	}
	return c, nil
}
