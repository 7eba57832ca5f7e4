package stats

import (
	"fmt"
	"math"
)

// Wilson gives the score interval, without continuity correction, for a
// proportion of k successes in n (E. B. Wilson, JASA 22 (1927) 209-212;
// method 3 of R. G. Newcombe, Statistics in Medicine 17 (1998) 857-872).
// k = 0 gives a lower limit of exactly 0, k = n an upper limit of exactly 1.
func Wilson(k, n int, level float64) (Interval, error) {
	z, err := NormalQuantile(level)
	if err != nil {
		return Interval{}, err
	}
	if n == 0 {
		return Interval{}, fmt.Errorf("proportion of 0: %w", ErrNoData)
	}
	if k < 0 || n < 0 || k > n {
		return Interval{}, fmt.Errorf("%d of %d: %w", k, n, ErrArgument)
	}
	nn, p := float64(n), float64(k)/float64(n)
	centre := p + z*z/(2*nn)
	half := z * math.Sqrt(p*(1-p)/nn+z*z/(4*nn*nn))
	scale := 1 + z*z/nn
	i := Interval{Lo: math.Max(0, (centre-half)/scale), Hi: math.Min(1, (centre+half)/scale)}
	if k == 0 {
		i.Lo = 0
	}
	if k == n {
		i.Hi = 1
	}
	return i, nil
}
