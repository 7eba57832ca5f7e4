package stats

import (
	"fmt"
	"math"
)

// Ratio gives a/b with its standard error by the delta method:
// Var(a/b) = (Var a - 2r·Cov(a,b) + r²·Var b)/b². A dose at which a
// regression reaches a given level is such a ratio (D. J. Finney, Probit
// Analysis; W. N. Venables and B. D. Ripley, Modern Applied Statistics with S
// (2002), 7.2).
func Ratio(a, b, varA, varB, cov float64) (value, se float64, err error) {
	if b == 0 {
		return 0, 0, fmt.Errorf("ratio to zero: %w", ErrArgument)
	}
	r := a / b
	v := (varA - 2*r*cov + r*r*varB) / (b * b)
	if math.IsNaN(v) || v < 0 {
		return 0, 0, fmt.Errorf("variance of a ratio: %v: %w", v, ErrArgument)
	}
	return r, math.Sqrt(v), nil
}

// Fieller gives the interval of a/b that inverts the test of a - r·b = 0 (E.
// C. Fieller, JRSS B 16 (1954) 175-185). Where b itself may be zero at this
// level there is no bounded interval, and the error wraps ErrUnbounded.
func Fieller(a, b, varA, varB, cov, level float64) (Interval, error) {
	z, err := NormalQuantile(level)
	if err != nil {
		return Interval{}, err
	}
	qa, qb, qc := b*b-z*z*varB, -2*(a*b-z*z*cov), a*a-z*z*varA
	disc := qb*qb - 4*qa*qc
	if !(qa > 0) || !(disc >= 0) {
		return Interval{}, fmt.Errorf("Fieller's interval: %w", ErrUnbounded)
	}
	s := math.Sqrt(disc)
	return Interval{(-qb - s) / (2 * qa), (-qb + s) / (2 * qa)}, nil
}

// DoseFor gives the value of the column numbered slope at which a binary
// regression reaches probability p, the other column numbered constant being
// 1 and the rest 0, with its standard error by the delta method.
func (f *BinomialFit) DoseFor(link Link, p float64, constant, slope int) (dose, se float64, err error) {
	if !(p > 0 && p < 1) {
		return 0, 0, fmt.Errorf("probability %v: %w", p, ErrArgument)
	}
	return Ratio(link.Quantile(p)-f.Beta[constant], f.Beta[slope],
		f.Cov.At(constant, constant), f.Cov.At(slope, slope), -f.Cov.At(constant, slope))
}
