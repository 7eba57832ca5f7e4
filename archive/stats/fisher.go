package stats

import (
	"fmt"
	"math"
)

// FisherExact holds the p-values of Fisher's exact test of a 2×2 table.
type FisherExact struct {
	TwoSided float64
	Greater  float64 // one-sided, odds ratio above 1
	Less     float64 // one-sided, odds ratio below 1
}

// sameProbability is the slack within which two tables count as equally
// likely, so that rounding cannot drop a table from the sum.
const sameProbability = 1 + 1e-7

// Fisher tests the table
//
//	a b
//	c d
//
// for independence of rows and columns. The two-sided p-value sums the
// hypergeometric probabilities of all tables with the same margins that are
// at most (1 + 1e-7) times as likely as the one observed, which is the
// definition R uses (R. A. Fisher, The Design of Experiments (1935), ch. 2).
func Fisher(a, b, c, d int) (FisherExact, error) {
	if a < 0 || b < 0 || c < 0 || d < 0 {
		return FisherExact{}, fmt.Errorf("table %d %d %d %d: %w", a, b, c, d, ErrArgument)
	}
	if a+b+c+d == 0 {
		return FisherExact{}, fmt.Errorf("empty table: %w", ErrNoData)
	}
	row, col, n := a+b, a+c, a+b+c+d
	lo, hi := max(0, row+col-n), min(row, col)
	w := hypergeometricWeights(row, col, n, lo, hi)
	var total, greater, less, two float64
	limit := w[a-lo] * sameProbability
	for i, v := range w {
		total += v
		if lo+i >= a {
			greater += v
		}
		if lo+i <= a {
			less += v
		}
		if v <= limit {
			two += v
		}
	}
	return FisherExact{
		TwoSided: math.Min(1, two/total),
		Greater:  math.Min(1, greater/total),
		Less:     math.Min(1, less/total),
	}, nil
}

// hypergeometricWeights gives the probability of each top-left count from lo
// to hi relative to the likeliest, by the ratio of neighbours from the mode
// outward: no factorial is formed, so no digits are lost.
func hypergeometricWeights(row, col, n, lo, hi int) []float64 {
	mode := int(float64(row+1) * float64(col+1) / float64(n+2))
	mode = min(max(mode, lo), hi)
	w := make([]float64, hi-lo+1)
	w[mode-lo] = 1
	for x := mode; x < hi; x++ {
		up := float64(row-x) * float64(col-x) / (float64(x+1) * float64(n-row-col+x+1))
		w[x+1-lo] = w[x-lo] * up
	}
	for x := mode; x > lo; x-- {
		down := float64(x) * float64(n-row-col+x) / (float64(row-x+1) * float64(col-x+1))
		w[x-1-lo] = w[x-lo] * down
	}
	return w
}
