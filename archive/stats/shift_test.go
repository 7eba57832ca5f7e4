package stats

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// The mode against a search on a fine grid.
func TestShiftAgainstGrid(t *testing.T) {
	tau, eta, y := []float64{-1, 1}, []float64{0.2, -0.5, 0.1}, []int{0, 0, 1}
	s, err := ShiftBy(Probit, tau, eta, y, [][]float64{{1}, {1}, {1}}, []float64{0.5})
	if err != nil {
		t.Fatal(err)
	}
	best, at := math.Inf(-1), 0.0
	for v := -3.0; v < 3; v += 1e-5 {
		h := -v * v / (2 * 0.5)
		for i := range y {
			lo, hi := math.Inf(-1), tau[0]-eta[i]-v
			if y[i] == 1 {
				lo, hi = tau[0]-eta[i]-v, tau[1]-eta[i]-v
			}
			h += math.Log(Probit.P(hi) - Probit.P(lo))
		}
		if h > best {
			best, at = h, v
		}
	}
	near(t, "mode", s.Mean[0], at, 2e-5)
	if v := s.Cov.At(0, 0); v <= 0 || v >= 0.5 {
		t.Errorf("variance %v, prior 0.5", v)
	}
}

// A further "under" moves the sum of effects down, a further "over" up.
func TestShiftMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tau := []float64{-1, 1}
		var eta []float64
		var y []int
		var design [][]float64
		for range rapid.IntRange(0, 6).Draw(t, "n") {
			eta = append(eta, rapid.Float64Range(-4, 4).Draw(t, "eta"))
			y = append(y, rapid.IntRange(0, 2).Draw(t, "y"))
			design = append(design, []float64{1, float64(rapid.IntRange(0, 1).Draw(t, "own"))})
		}
		variance := []float64{rapid.Float64Range(0.01, 2).Draw(t, "day"), rapid.Float64Range(0.01, 2).Draw(t, "batch")}
		total := func(y []int, eta []float64, design [][]float64) float64 {
			s, err := ShiftBy(Probit, tau, eta, y, design, variance)
			if err != nil {
				t.Fatal(err)
			}
			return s.Mean[0] + s.Mean[1]
		}
		before := total(y, eta, design)
		x := rapid.Float64Range(-4, 4).Draw(t, "new eta")
		under := total(append(y[:len(y):len(y)], 0), append(eta[:len(eta):len(eta)], x), append(design[:len(design):len(design)], []float64{1, 1}))
		over := total(append(y[:len(y):len(y)], 2), append(eta[:len(eta):len(eta)], x), append(design[:len(design):len(design)], []float64{1, 1}))
		if under > before+1e-9 || over < before-1e-9 {
			t.Fatalf("before %v, under %v, over %v", before, under, over)
		}
	})
}

func TestShiftRefusals(t *testing.T) {
	if _, err := ShiftBy(Probit, []float64{0}, []float64{1}, nil, nil, []float64{1}); !errors.Is(err, ErrArgument) {
		t.Errorf("lengths: %v", err)
	}
	if _, err := ShiftBy(Probit, []float64{0}, nil, nil, nil, []float64{0}); !errors.Is(err, ErrArgument) {
		t.Errorf("no variance: %v", err)
	}
	s, err := ShiftBy(Probit, []float64{0}, nil, nil, nil, []float64{2})
	if err != nil || s.Mean[0] != 0 || math.Abs(s.Cov.At(0, 0)-2) > 1e-12 {
		t.Errorf("nothing observed: %+v, %v", s, err)
	}
}
