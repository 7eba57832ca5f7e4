package stats

import (
	"fmt"
	"math"
	"sort"
)

// Series is paired observations, such as the log2 EI of one batch's plates
// against its age in days.
type Series struct{ X, Y []float64 }

func (s Series) check() error {
	if len(s.X) != len(s.Y) {
		return fmt.Errorf("%d x, %d y: %w", len(s.X), len(s.Y), ErrArgument)
	}
	for i := range s.X {
		if math.IsNaN(s.X[i]-s.X[i]) || math.IsNaN(s.Y[i]-s.Y[i]) {
			return fmt.Errorf("pair %d: (%v, %v): %w", i+1, s.X[i], s.Y[i], ErrArgument)
		}
	}
	return nil
}

// KendallTest is Kendall's rank correlation with its p-values.
type KendallTest struct {
	Tau     float64 // tau-b
	S       float64 // concordant less discordant pairs
	VarS    float64 // variance of S under independence, ties allowed for
	Z       float64 // S/sqrt(VarS), no continuity correction
	NormalP float64
	ExactP  float64 // meaningful when Exact
	Exact   bool    // fewer than 50 pairs and no ties
}

// P is the exact p-value where there is one, else the normal one, which is
// the choice of R's cor.test.
func (k KendallTest) P() float64 {
	if k.Exact {
		return k.ExactP
	}
	return k.NormalP
}

// Kendall tests whether y moves with x (M. G. Kendall, Rank Correlation
// Methods; M. Hollander and D. A. Wolfe, Nonparametric Statistical Methods
// (1973), p. 185). The variance has Kendall's joint terms for ties in both.
func Kendall(x, y []float64) (KendallTest, error) {
	return KendallPooled([]Series{{x, y}})
}

// KendallPooled sums S and its variance within each series before testing
// (R. M. Hirsch, J. R. Slack and R. A. Smith, Water Resources Research 18
// (1982) 107-121), so that differences between series are not mistaken for a
// trend. Series of fewer than two pairs add nothing.
func KendallPooled(groups []Series) (KendallTest, error) {
	var t KendallTest
	var untiedX, untiedY float64
	used, n, ties := 0, 0, false
	for _, g := range groups {
		if err := g.check(); err != nil {
			return KendallTest{}, err
		}
		if len(g.X) < 2 {
			continue
		}
		used, n = used+1, len(g.X)
		c := countPairs(g)
		t.S += c.s
		t.VarS += c.varS(true)
		untiedX += c.pairs - c.x.pairs
		untiedY += c.pairs - c.y.pairs
		ties = ties || c.x.pairs > 0 || c.y.pairs > 0
	}
	if used == 0 {
		return KendallTest{}, fmt.Errorf("Kendall's test: %w", ErrTooFew)
	}
	if untiedX == 0 || untiedY == 0 {
		return KendallTest{}, fmt.Errorf("Kendall's test: %w", ErrNoVariation)
	}
	t.Tau = t.S / (math.Sqrt(untiedX) * math.Sqrt(untiedY))
	if t.VarS > 0 {
		t.Z = t.S / math.Sqrt(t.VarS)
	}
	t.NormalP = twoSidedNormalP(t.Z)
	if t.Exact = used == 1 && n < 50 && !ties; t.Exact {
		t.ExactP = kendallExact(n, t.S)
	}
	return t, nil
}

// tieSums holds what the variance of S needs of the ties in one variable:
// for runs of k equal values, the sums of k(k-1)/2, k(k-1), k(k-1)(k-2) and
// k(k-1)(2k+5).
type tieSums struct{ pairs, two, three, five float64 }

func tiesOf(sorted []float64) tieSums {
	var t tieSums
	for i := 0; i < len(sorted); {
		j := i
		for j < len(sorted) && sorted[j] == sorted[i] {
			j++
		}
		k := float64(j - i)
		t.pairs += k * (k - 1) / 2
		t.two += k * (k - 1)
		t.three += k * (k - 1) * (k - 2)
		t.five += k * (k - 1) * (2*k + 5)
		i = j
	}
	return t
}

type pairCount struct {
	n, pairs, s float64
	x, y        tieSums
}

// varS is the variance of S; joint adds the terms for ties in both variables
// that the test has and Sen's interval leaves out.
func (c pairCount) varS(joint bool) float64 {
	n := c.n
	v := (n*(n-1)*(2*n+5) - c.x.five - c.y.five) / 18
	if joint {
		v += c.x.two * c.y.two / (2 * n * (n - 1))
		if n > 2 {
			v += c.x.three * c.y.three / (9 * n * (n - 1) * (n - 2))
		}
	}
	return v
}

// countPairs finds S in n·log n steps by counting the exchanges that sorting
// by y needs after sorting by x (W. R. Knight, JASA 61 (1966) 436-439).
func countPairs(g Series) pairCount {
	n := len(g.X)
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	sort.Slice(order, func(a, b int) bool {
		i, j := order[a], order[b]
		if g.X[i] != g.X[j] {
			return g.X[i] < g.X[j]
		}
		return g.Y[i] < g.Y[j]
	})
	x, y := make([]float64, n), make([]float64, n)
	both := 0.0
	run := 1.0
	for a, i := range order {
		x[a], y[a] = g.X[i], g.Y[i]
		if a > 0 && x[a] == x[a-1] && y[a] == y[a-1] {
			both += run
			run++
		} else {
			run = 1
		}
	}
	discordant := float64(exchanges(y, make([]float64, n)))
	c := pairCount{n: float64(n), pairs: float64(n) * float64(n-1) / 2, x: tiesOf(x), y: tiesOf(y)}
	c.s = c.pairs - c.x.pairs - c.y.pairs + both - 2*discordant
	return c
}

// exchanges sorts y in place and counts the pairs that stood in falling order.
func exchanges(y, buffer []float64) int64 {
	n := len(y)
	if n < 2 {
		return 0
	}
	h := n / 2
	count := exchanges(y[:h], buffer[:h]) + exchanges(y[h:], buffer[h:])
	i, j := 0, h
	for k := range buffer[:n] {
		if j == n || (i < h && y[i] <= y[j]) {
			buffer[k] = y[i]
			i++
		} else {
			buffer[k] = y[j]
			count += int64(h - i)
			j++
		}
	}
	copy(y, buffer[:n])
	return count
}

// kendallExact is the two-sided p-value from the distribution of the number
// of concordant pairs over all orders of n values.
func kendallExact(n int, s float64) float64 {
	p := []float64{1}
	for k := 2; k <= n; k++ {
		next := make([]float64, len(p)+k-1)
		for i, v := range p {
			for j := range k {
				next[i+j] += v / float64(k)
			}
		}
		p = next
	}
	pairs := n * (n - 1) / 2
	q := int(math.Round((s + float64(pairs)) / 2))
	if 2*q > pairs {
		q = pairs - q
	}
	tail := 0.0
	for _, v := range p[:q+1] {
		tail += v
	}
	return math.Min(1, 2*tail)
}
