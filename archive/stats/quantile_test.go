package stats

import (
	"errors"
	"math"
	"testing"
)

// Definition 7 of Hyndman and Fan (1996); values from R 4.2.2
// quantile(type=7), exp(mean(log x)) and exp(sd(log x)).
func TestQuantilesAndGeometric(t *testing.T) {
	x := []float64{30, 4, 2.5, 7.5, 4, 11, 5, 9}
	q, err := Quantiles(x, 0.1, 0.25, 0.5, 0.75, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	eachRel(t, "quantile", q, []float64{3.55, 4, 6.25, 9.5, 16.7}, 1e-12)
	if x[0] != 30 {
		t.Error("the input was sorted in place")
	}
	mean, sd, err := Geometric(x)
	if err != nil {
		t.Fatal(err)
	}
	rel(t, "geometric mean", mean, 6.77806865590279, 1e-12)
	rel(t, "geometric SD", sd, 2.16600162790276, 1e-12)

	mean, sd, err = Geometric([]float64{3})
	if mean != 3 || !math.IsNaN(sd) || !errors.Is(err, ErrTooFew) {
		t.Errorf("one value: %v, %v, %v", mean, sd, err)
	}
	q, _ = Quantiles([]float64{3}, 0, 0.25, 1)
	eachNear(t, "one value", q, []float64{3, 3, 3}, 0)
	for _, bad := range [][]float64{{1, 0}, {1, -2}, {math.NaN()}} {
		if _, _, err := Geometric(bad); !errors.Is(err, ErrArgument) {
			t.Errorf("geometric mean of %v: %v", bad, err)
		}
	}
	if _, _, err := Geometric(nil); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
	if _, err := Median(nil); !errors.Is(err, ErrNoData) {
		t.Errorf("empty: %v", err)
	}
	if _, err := Quantile([]float64{1}, 1.5); !errors.Is(err, ErrArgument) {
		t.Errorf("p = 1.5: %v", err)
	}
	if _, err := Quantile([]float64{1, math.NaN()}, 0.5); !errors.Is(err, ErrArgument) {
		t.Errorf("NaN: %v", err)
	}
}
