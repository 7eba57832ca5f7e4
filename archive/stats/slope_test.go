package stats

import (
	"errors"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

var (
	senX  = []float64{1, 2, 3, 4, 10, 12, 18}
	senY  = []float64{9, 15, 19, 20, 45, 55, 78}
	tunaX = []float64{44.4, 45.9, 41.9, 53.3, 44.7, 44.1, 50.7, 45.2, 60.1}
	tunaY = []float64{2.6, 3.1, 2.5, 5, 3.6, 4, 5.2, 2.8, 3.8}
	tiesX = []float64{1, 1, 2, 3, 3, 3, 5, 8}
	tiesY = []float64{2, 1, 2, 4, 3, 5, 5, 5}
)

// P. K. Sen, JASA 63 (1968) 1379-1389, worked example: slope 4, 93 %
// interval 3.71 to 4.38. Tuna lightness: Hollander and Wolfe (1973), p. 185.
// Ties: own numbers, values from SciPy's rank rule and R 4.2.2.
func TestTheilSen(t *testing.T) {
	for _, c := range []struct {
		name          string
		x, y          []float64
		level         float64
		slope, lo, hi float64
		slopes        int
		varS          float64
	}{
		{"Sen 93 %", senX, senY, 0.93, 4, 3.71428571428571, 4.375, 21, 44.3333333333333},
		{"Sen 95 %", senX, senY, 0.95, 4, 3.71428571428571, 4.375, 21, 44.3333333333333},
		{"tuna", tunaX, tunaY, 0.95, 0.129347826086957, -0.0769230769230772, 0.306818181818182, 36, 92},
		{"ties", tiesX, tiesY, 0.95, 0.875, 0.2, 1.5, 24, 56},
	} {
		s, err := TheilSen(c.x, c.y, c.level)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.name+" slope", s.Slope, c.slope, 1e-12)
		near(t, c.name+" lower", s.Limits.Lo, c.lo, 1e-12)
		near(t, c.name+" upper", s.Limits.Hi, c.hi, 1e-12)
		near(t, c.name+" varS", s.VarS, c.varS, 1e-11)
		if s.Slopes != c.slopes || s.Clamped {
			t.Errorf("%s: %d slopes, clamped %v", c.name, s.Slopes, s.Clamped)
		}
	}
	s, _ := TheilSen(senX, senY, 0.95)
	near(t, "intercept", s.Intercept, 4, 1e-12)
}

// Same sources; exact p of tuna printed 0.1194 in Hollander and Wolfe.
func TestKendall(t *testing.T) {
	sen, _ := Kendall(senX, senY)
	near(t, "Sen S", sen.S, 21, 0)
	near(t, "Sen tau", sen.Tau, 1, 1e-15)
	rel(t, "Sen exact p", sen.ExactP, 0.000396825396825395, 1e-7)
	rel(t, "Sen normal p", sen.NormalP, 0.00161079496389261, 1e-7)

	tuna, _ := Kendall(tunaX, tunaY)
	near(t, "tuna tau", tuna.Tau, 0.444444444444445, 1e-12)
	rel(t, "tuna exact p", tuna.P(), 0.1194389329806, 1e-7)
	rel(t, "tuna normal p", tuna.NormalP, 0.0952928380234565, 1e-7)

	ties, _ := Kendall(tiesX, tiesY)
	near(t, "ties S", ties.S, 20, 0)
	near(t, "ties tau-b", ties.Tau, 0.833333333333333, 1e-12)
	near(t, "ties z", ties.Z, 2.65880037617597, 1e-10)
	rel(t, "ties p", ties.P(), 0.0078419411924772, 1e-7)
	if ties.Exact {
		t.Error("ties have no exact p")
	}
}

func TestSlopeRefusals(t *testing.T) {
	if _, err := TheilSen([]float64{1}, []float64{2}, 0.95); !errors.Is(err, ErrTooFew) {
		t.Errorf("one pair: %v", err)
	}
	if _, err := TheilSen([]float64{1, 1}, []float64{2, 3}, 0.95); !errors.Is(err, ErrNoVariation) {
		t.Errorf("one age: %v", err)
	}
	if _, err := Kendall([]float64{1, 2}, []float64{3, 3}); !errors.Is(err, ErrNoVariation) {
		t.Errorf("one value: %v", err)
	}
	if _, err := Kendall([]float64{1, 2}, []float64{3}); !errors.Is(err, ErrArgument) {
		t.Errorf("lengths: %v", err)
	}
	if _, err := TheilSen([]float64{1, math.Inf(1)}, []float64{3, 4}, 0.95); !errors.Is(err, ErrArgument) {
		t.Errorf("infinite: %v", err)
	}
	s, err := TheilSen([]float64{1, 2}, []float64{2, 3}, 0.95)
	if err != nil || !s.Clamped || s.Slope != 1 {
		t.Errorf("two pairs: %+v, %v", s, err)
	}
}

// Pooling must see only slopes within a series: two level series at
// different heights and ages have no trend.
func TestPooledWithinSeries(t *testing.T) {
	a := Series{[]float64{1, 2, 3, 4}, []float64{1, 1.2, 0.8, 1}}
	b := Series{[]float64{11, 12, 13, 14}, []float64{5, 5.2, 4.8, 5}}
	s, err := TheilSenPooled([]Series{a, b}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "pooled slope", s.Slope, -0.0500, 0.06)
	if s.Slopes != 12 {
		t.Errorf("%d slopes, want 12", s.Slopes)
	}
	k, err := KendallPooled([]Series{a, b, {[]float64{1}, []float64{9}}})
	if err != nil {
		t.Fatal(err)
	}
	ka, _ := Kendall(a.X, a.Y)
	kb, _ := Kendall(b.X, b.Y)
	near(t, "pooled S", k.S, ka.S+kb.S, 0)
	near(t, "pooled variance", k.VarS, ka.VarS+kb.VarS, 1e-12)
	if k.Exact {
		t.Error("pooled series have no exact p")
	}
}

// The quick count of pairs must equal the plain one, and the counting of
// slopes the sorting of them.
func TestPairsAgainstPlainCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 40).Draw(t, "n")
		x, y := make([]float64, n), make([]float64, n)
		for i := range n {
			x[i] = float64(rapid.IntRange(0, 12).Draw(t, "x"))
			y[i] = float64(rapid.IntRange(0, 8).Draw(t, "y"))
		}
		s := 0.0
		var slopes []float64
		for i := range n {
			for j := range i {
				p := (x[i] - x[j]) * (y[i] - y[j])
				s += is(p > 0) - is(p < 0)
				if x[i] != x[j] {
					slopes = append(slopes, (y[i]-y[j])/(x[i]-x[j]))
				}
			}
		}
		if c := countPairs(Series{x, y}); c.s != s {
			t.Fatalf("S = %v, want %v", c.s, s)
		}
		slices.Sort(slopes)
		for _, r := range []int{1, len(slopes) / 2, len(slopes)} {
			if r < 1 || r > len(slopes) {
				continue
			}
			if got := slopeByCounting([]Series{{x, y}}, r); math.Abs(got-slopes[r-1]) > 0 {
				t.Fatalf("slope of rank %d of %d = %v, want %v", r, len(slopes), got, slopes[r-1])
			}
		}
	})
}

func TestManySlopes(t *testing.T) {
	n := 2000 // 1,999,000 pairs, beyond what is kept
	x, y := make([]float64, n), make([]float64, n)
	for i := range n {
		x[i] = float64(i % 97)
		y[i] = 0.25*x[i] + math.Sin(float64(7*i))
	}
	s, err := TheilSen(x, y, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	var all []float64
	eachSlope([]Series{{x, y}}, func(v float64) { all = append(all, v) })
	want, _ := Median(all)
	near(t, "slope", s.Slope, want, 1e-12)
	if !s.Limits.Contains(0.25) || s.Limits.Width() > 0.01 {
		t.Errorf("limits %v", s.Limits)
	}
}
