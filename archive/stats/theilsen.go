package stats

import (
	"fmt"
	"math"
	"slices"
)

// SenSlope is a median of pairwise slopes with Sen's interval.
type SenSlope struct {
	Slope     float64
	Limits    Interval
	Intercept float64 // median(y) - slope·median(x); of one series only
	Slopes    int     // number of pairs with distinct x
	VarS      float64 // variance of Kendall's S used for the interval
	// Clamped says that the interval's ranks fell outside the slopes there
	// are, so that it covers less than its level.
	Clamped bool
}

// TheilSen gives the Theil-Sen slope of y on x with the interval of P. K.
// Sen, JASA 63 (1968) 1379-1389. With N slopes over pairs of distinct x in
// rising order and C = z·sqrt(VarS), the limits are the M1-th and the
// (M2+1)-th, M1 = (N-C)/2 and M2 = (N+C)/2 rounded to whole numbers, halves
// to even, and kept within 1 and N.
func TheilSen(x, y []float64, level float64) (SenSlope, error) {
	s, err := TheilSenPooled([]Series{{x, y}}, level)
	if err != nil {
		return SenSlope{}, err
	}
	mx, err := Median(x)
	if err != nil {
		return SenSlope{}, err
	}
	my, err := Median(y)
	if err != nil {
		return SenSlope{}, err
	}
	s.Intercept = my - s.Slope*mx
	return s, nil
}

// TheilSenPooled takes the median of the slopes within all series together,
// with the variances of S summed (R. M. Hirsch, J. R. Slack and R. A. Smith,
// Water Resources Research 18 (1982) 107-121).
func TheilSenPooled(groups []Series, level float64) (SenSlope, error) {
	z, err := NormalQuantile(level)
	if err != nil {
		return SenSlope{}, err
	}
	var out SenSlope
	some := false
	for _, g := range groups {
		if err := g.check(); err != nil {
			return SenSlope{}, err
		}
		if len(g.X) < 2 {
			continue
		}
		some = true
		c := countPairs(g)
		out.Slopes += int(c.pairs - c.x.pairs)
		out.VarS += c.varS(false)
	}
	if !some {
		return SenSlope{}, fmt.Errorf("slope: %w", ErrTooFew)
	}
	n := out.Slopes
	if n == 0 {
		return SenSlope{}, fmt.Errorf("slope: all x are equal: %w", ErrNoVariation)
	}
	c := z * math.Sqrt(out.VarS)
	m1 := int(math.RoundToEven((float64(n) - c) / 2))
	m2 := int(math.RoundToEven((float64(n)+c)/2)) + 1
	out.Clamped = m1 < 1 || m2 > n
	m1, m2 = max(1, min(m1, n)), max(1, min(m2, n))
	v := slopesAt(groups, n, (n+1)/2, n/2+1, m1, m2)
	out.Slope = v[0] + (v[1]-v[0])/2
	out.Limits = Interval{v[2], v[3]}
	return out, nil
}

// manySlopes is the number above which slopes are not kept but counted.
const manySlopes = 1 << 20

// slopesAt gives the slopes of the given ranks, counted from 1, among the n
// within the groups.
func slopesAt(groups []Series, n int, ranks ...int) []float64 {
	out := make([]float64, len(ranks))
	if n <= manySlopes {
		all := make([]float64, 0, n)
		eachSlope(groups, func(s float64) { all = append(all, s) })
		slices.Sort(all)
		for i, r := range ranks {
			out[i] = all[r-1]
		}
		return out
	}
	for i, r := range ranks {
		out[i] = slopeByCounting(groups, r)
	}
	return out
}

// slopeByCounting finds one rank without keeping the slopes: it counts them
// in cells between the lowest and the highest, narrows to the cell that holds
// the rank, and sorts only what is left. Memory stays small for any n.
func slopeByCounting(groups []Series, rank int) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	eachSlope(groups, func(s float64) { lo, hi = math.Min(lo, s), math.Max(hi, s) })
	const cells = 1 << 12
	for {
		if lo == hi {
			return lo
		}
		var count [cells]int
		var least, most [cells]float64
		below := 0
		cell := func(s float64) int { return max(0, min(int((s-lo)/(hi-lo)*cells), cells-1)) }
		eachSlope(groups, func(s float64) {
			if s < lo {
				below++
			} else if s <= hi {
				c := cell(s)
				if count[c] == 0 || s < least[c] {
					least[c] = s
				}
				if count[c] == 0 || s > most[c] {
					most[c] = s
				}
				count[c]++
			}
		})
		c := 0
		for ; below+count[c] < rank; c++ {
			below += count[c]
		}
		lo, hi = least[c], most[c]
		if count[c] <= manySlopes {
			left := make([]float64, 0, count[c])
			eachSlope(groups, func(s float64) {
				if s >= lo && s <= hi {
					left = append(left, s)
				}
			})
			slices.Sort(left)
			return left[rank-below-1]
		}
	}
}

func eachSlope(groups []Series, visit func(float64)) {
	for _, g := range groups {
		for i, xi := range g.X {
			yi := g.Y[i]
			for j := i + 1; j < len(g.X); j++ {
				if g.X[j] != xi {
					visit((g.Y[j] - yi) / (g.X[j] - xi))
				}
			}
		}
	}
}
