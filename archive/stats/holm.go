package stats

import (
	"fmt"
	"math"
	"sort"
)

// Holm adjusts p-values for all being tested together, by the step-down
// method of S. Holm, Scandinavian Journal of Statistics 6 (1979) 65-70. The
// result keeps the order of the input, never falls as p rises and is capped
// at 1. An empty input gives an empty result.
func Holm(p []float64) ([]float64, error) {
	order := make([]int, len(p))
	for i, v := range p {
		if !(v >= 0 && v <= 1) {
			return nil, fmt.Errorf("p-value %v: %w", v, ErrArgument)
		}
		order[i] = i
	}
	sort.SliceStable(order, func(i, j int) bool { return p[order[i]] < p[order[j]] })
	out := make([]float64, len(p))
	running := 0.0
	for rank, i := range order {
		running = math.Max(running, math.Min(1, float64(len(p)-rank)*p[i]))
		out[i] = running
	}
	return out, nil
}
