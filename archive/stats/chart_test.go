package stats

import (
	"errors"
	"testing"
)

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4. The page prints
// the seventh average as 49.12; the recursion gives 49.2116, which alone
// leads to the printed next one. It rounds sqrt(0.3/1.7), hence its lower
// limit 47.4115.
func TestEWMA(t *testing.T) {
	x := []float64{52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	printed := []float64{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99}
	exact := []float64{50.6, 49.52, 50.564, 50.1848, 50.15936, 49.211552, 49.7480864, 49.85366048, 50.257562336, 50.3302936352, 50.11120554464, 49.357843881248}
	c, err := EWMAChart(x, 50, 2.0539, 0.3, 3)
	if err != nil {
		t.Fatal(err)
	}
	eachNear(t, "average", c.Value, printed, 0.005)
	eachNear(t, "average", c.Value[:len(exact)], exact, 1e-9)
	near(t, "lower limit", c.Centre-c.Steady, 47.4115682618734, 1e-9)
	near(t, "upper limit", c.Centre+c.Steady, 52.5884317381266, 1e-9)
	near(t, "lower limit, printed", c.Centre-c.Steady, 47.4115, 1e-4)
	for at, half := range map[int]float64{1: 1.84851, 2: 2.25639401212399, 3: 2.43140557079542, 5: 2.55161146007396, 10: 2.58739885} {
		near(t, "half-width", c.Half[at-1], half, 5e-9)
	}
	if c.Signal != -1 {
		t.Errorf("signal at %d, the handbook's process is in control", c.Signal)
	}
}

// A chart of varying variances with equal ones is the plain chart, and a
// fault is found at the plate that shows it.
func TestEWMAVarying(t *testing.T) {
	x := []float64{0.2, 0.2, -0.8, -0.8, -0.8, -0.8, -0.8, -0.8}
	v := make([]float64, len(x))
	for i := range v {
		v[i] = 0.16
	}
	a, err := EWMAVarying(x, v, 0, 0, 0.2, 2.5)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := EWMAChart(x, 0, 0.4, 0.2, 2.5)
	eachNear(t, "value", a.Value, b.Value, 1e-15)
	eachNear(t, "half-width", a.Half, b.Half, 1e-12)
	if a.Signal != b.Signal || a.Signal < 3 || a.Signal > 6 {
		t.Errorf("signals %d and %d", a.Signal, b.Signal)
	}
	steady, _ := EWMAVarying(x, v, 0.16*0.2/1.8, 0, 0.2, 2.5)
	near(t, "steady half-width", steady.Half[0], b.Steady, 1e-12)
	if _, err := EWMAVarying(nil, nil, 0, 0, 0.2, 3); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
	if _, err := EWMAVarying(x, v[1:], 0, 0, 0.2, 3); !errors.Is(err, ErrArgument) {
		t.Errorf("lengths: %v", err)
	}
	if _, err := EWMAChart(x, 0, 0, 0.2, 3); !errors.Is(err, ErrArgument) {
		t.Errorf("no deviation: %v", err)
	}
	if _, err := EWMAChart(x, 0, 1, 1.2, 3); !errors.Is(err, ErrArgument) {
		t.Errorf("lambda: %v", err)
	}
}

// NIST/SEMATECH e-Handbook, 6.3.3.2 (wafers; the data are D. C. Montgomery's
// orange-juice cans): mean 0.2313, limits 0.0524 and 0.4102, samples 15 and
// 23 outside.
func TestPChart(t *testing.T) {
	k := []int{12, 15, 8, 10, 4, 7, 16, 9, 14, 10, 5, 6, 17, 12, 22, 8, 10, 5, 13, 11, 20, 18, 24, 15, 9, 12, 7, 13, 9, 6}
	n := make([]int, len(k))
	for i := range n {
		n[i] = 50
	}
	c, err := PChartOf(k, n)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", c.Mean, 0.231333333333333, 1e-9)
	near(t, "lower", c.Limits[0].Lo, 0.0524275480719282, 1e-9)
	near(t, "upper", c.Limits[0].Hi, 0.410239118594738, 1e-9)
	if len(c.Signals) != 2 || c.Signals[0] != 14 || c.Signals[1] != 22 {
		t.Errorf("signals %v, want samples 15 and 23", c.Signals)
	}
	if _, err := PChartOf(nil, nil); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
	if _, err := PChartOf([]int{3}, []int{2}); !errors.Is(err, ErrArgument) {
		t.Errorf("3 of 2: %v", err)
	}
}

// NIST/SEMATECH e-Handbook, 6.3.2.3: target 325, k 0.3175, h 4.1959; the
// upper sum first exceeds h at observation 14.
func TestCUSUM(t *testing.T) {
	x := []float64{324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35}
	c, err := CUSUMChart(x, 325, 0.3175, 4.1959)
	if err != nil {
		t.Fatal(err)
	}
	eachNear(t, "upper", c.Hi, []float64{0, 0, 0, 0, 0.0325, 0, 0, 0, 0, 0, 0, 0, 3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035}, 1e-9)
	eachNear(t, "lower", c.Lo, []float64{0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.715, 0.1725, 0.255, 0.3125, 0, 0, 0, 0, 0, 0, 0, 0, 0}, 1e-9)
	if c.Signal != 13 || c.Change != 12 {
		t.Errorf("signal at %d, change at %d; want observations 14 and 13", c.Signal+1, c.Change+1)
	}
	if _, err := CUSUMChart(nil, 0, 1, 1); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
}
