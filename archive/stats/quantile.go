package stats

import (
	"fmt"
	"math"
	"slices"
)

// Quantile gives the p-quantile of x by definition 7 of R. J. Hyndman and
// Y. Fan, The American Statistician 50 (1996) 361-365: with x sorted and
// counted from 1, h = (n-1)p + 1, interpolated linearly. x need not be
// sorted and is not changed.
func Quantile(x []float64, p float64) (float64, error) {
	q, err := Quantiles(x, p)
	if err != nil {
		return 0, err
	}
	return q[0], nil
}

// Quantiles is Quantile for several p, sorting once.
func Quantiles(x []float64, p ...float64) ([]float64, error) {
	if len(x) == 0 {
		return nil, fmt.Errorf("quantile: %w", ErrNoData)
	}
	s := slices.Clone(x)
	slices.Sort(s)
	if math.IsNaN(s[0]) {
		return nil, fmt.Errorf("quantile: a value is not a number: %w", ErrArgument)
	}
	out := make([]float64, len(p))
	for i, pi := range p {
		if !(pi >= 0 && pi <= 1) {
			return nil, fmt.Errorf("quantile %v: %w", pi, ErrArgument)
		}
		h := float64(len(s)-1) * pi
		// The slack of R's quantile: (n-1)p may miss a whole number by rounding.
		j := int(math.Floor(h + 4*eps))
		frac := h - float64(j)
		if math.Abs(frac) < 4*eps {
			frac = 0
		}
		if j >= len(s)-1 {
			out[i] = s[len(s)-1]
			continue
		}
		out[i] = s[j]
		if frac > 0 {
			out[i] = (1-frac)*s[j] + frac*s[j+1]
		}
	}
	return out, nil
}

const eps = 0x1p-52

// Median is the middle of x, the mean of the two middle values when their
// number is even.
func Median(x []float64) (float64, error) { return Quantile(x, 0.5) }
