package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Geometric gives the geometric mean exp(mean(log x)) and the geometric
// standard deviation exp(sd(log x)), sd with n-1. One value has a mean but no
// deviation: sd is then NaN and err wraps ErrTooFew.
func Geometric(x []float64) (mean, sd float64, err error) {
	if len(x) == 0 {
		return 0, 0, fmt.Errorf("geometric mean: %w", ErrNoData)
	}
	logs := make([]float64, len(x))
	for i, v := range x {
		if !(v > 0) || math.IsInf(v, 0) {
			return 0, 0, fmt.Errorf("geometric mean of %v: %w", v, ErrArgument)
		}
		logs[i] = math.Log(v)
	}
	if len(x) == 1 {
		return x[0], math.NaN(), fmt.Errorf("geometric standard deviation of one value: %w", ErrTooFew)
	}
	m, s := stat.MeanStdDev(logs, nil)
	return math.Exp(m), math.Exp(s), nil
}
