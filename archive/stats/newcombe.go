package stats

import "math"

// Newcombe gives the difference of two independent proportions, a/m - b/n,
// with its hybrid score interval: the Wilson limits squared and added, no
// continuity correction (method 10 of R. G. Newcombe, Statistics in Medicine
// 17 (1998) 873-890).
func Newcombe(a, m, b, n int, level float64) (difference float64, limits Interval, err error) {
	first, err := Wilson(a, m, level)
	if err != nil {
		return 0, Interval{}, err
	}
	second, err := Wilson(b, n, level)
	if err != nil {
		return 0, Interval{}, err
	}
	p, q := float64(a)/float64(m), float64(b)/float64(n)
	d := p - q
	return d, Interval{
		Lo: math.Max(-1, d-math.Hypot(p-first.Lo, second.Hi-q)),
		Hi: math.Min(1, d+math.Hypot(first.Hi-p, q-second.Lo)),
	}, nil
}
