package stats

import (
	"fmt"
	"math"
)

// EWMA is an exponentially weighted moving average chart.
type EWMA struct {
	Value  []float64 // the average after each observation
	Centre float64   // the target
	Half   []float64 // half-width of the limits at each observation
	Steady float64   // half-width once the chart has run long
	Signal int       // first observation outside its limits, -1 if none
}

// EWMAChart runs z_t = λx_t + (1-λ)z_{t-1} from z_0 = target, with limits
// target ± width·sd·sqrt(λ/(2-λ)·(1-(1-λ)^{2t})), exact at each t
// (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.4). Signal compares
// with these exact limits; the handbook draws the steady ones.
func EWMAChart(x []float64, target, sd, lambda, width float64) (EWMA, error) {
	if !(sd > 0) {
		return EWMA{}, fmt.Errorf("standard deviation %v: %w", sd, ErrArgument)
	}
	v := make([]float64, len(x))
	for i := range v {
		v[i] = sd * sd
	}
	chart, err := EWMAVarying(x, v, 0, target, lambda, width)
	if err != nil {
		return EWMA{}, err
	}
	chart.Steady = width * sd * math.Sqrt(lambda/(2-lambda))
	return chart, nil
}

// EWMAVarying is the chart for observations that each have their own
// variance, as the risk-adjusted residuals x - p of a binary outcome with
// model probability p and variance p(1-p) have. The limits follow
// Var z_t = λ²v_t + (1-λ)²Var z_{t-1} from Var z_0 = start: 0 gives the exact
// limits of a fresh chart, λ/(2-λ) of a usual variance the steady ones, under
// which one odd plate at the beginning is no signal. Steady is left at the
// last half-width.
func EWMAVarying(x, variance []float64, start, target, lambda, width float64) (EWMA, error) {
	switch {
	case len(x) == 0:
		return EWMA{}, fmt.Errorf("control chart: %w", ErrNoData)
	case len(x) != len(variance):
		return EWMA{}, fmt.Errorf("%d values, %d variances: %w", len(x), len(variance), ErrArgument)
	case !(lambda > 0 && lambda <= 1):
		return EWMA{}, fmt.Errorf("lambda %v: must lie in (0, 1]: %w", lambda, ErrArgument)
	case !(start >= 0):
		return EWMA{}, fmt.Errorf("variance at the start %v: %w", start, ErrArgument)
	case !(width > 0):
		return EWMA{}, fmt.Errorf("width of the limits %v: %w", width, ErrArgument)
	}
	c := EWMA{Value: make([]float64, len(x)), Half: make([]float64, len(x)), Centre: target, Signal: -1}
	z, v := target, start
	for t := range x {
		if math.IsNaN(x[t]) || !(variance[t] >= 0) {
			return EWMA{}, fmt.Errorf("observation %d: value %v, variance %v: %w", t+1, x[t], variance[t], ErrArgument)
		}
		z = lambda*x[t] + (1-lambda)*z
		v = lambda*lambda*variance[t] + (1-lambda)*(1-lambda)*v
		c.Value[t], c.Half[t] = z, width*math.Sqrt(v)
		if c.Signal < 0 && math.Abs(z-target) > c.Half[t] {
			c.Signal = t
		}
	}
	c.Steady = c.Half[len(x)-1]
	return c, nil
}
