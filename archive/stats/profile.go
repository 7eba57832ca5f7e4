package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// ProfileOrdered gives the profile-likelihood interval of one coefficient of
// the model without groups: the values whose profile log-likelihood lies
// within χ²₁(level)/2 of the maximum. A side without end gives ErrUnbounded.
func ProfileOrdered(o Ordered, coefficient int, level float64) (Interval, error) {
	if coefficient < 0 || coefficient >= len(o.X) {
		return Interval{}, fmt.Errorf("coefficient %d of %d: %w", coefficient+1, len(o.X), ErrArgument)
	}
	f, err := FitOrdered(o)
	if err != nil {
		return Interval{}, err
	}
	reduced := o
	reduced.Group, reduced.Groups = nil, 0
	reduced.X = append(append([][]float64(nil), o.X[:coefficient]...), o.X[coefficient+1:]...)
	profile := func(b float64) (float64, error) {
		reduced.Offset = make([]float64, len(o.Y))
		for i, x := range o.X[coefficient] {
			reduced.Offset[i] = b * x
			if o.Offset != nil {
				reduced.Offset[i] += o.Offset[i]
			}
		}
		r, err := FitOrdered(reduced)
		if err != nil {
			return 0, err
		}
		return r.LogLik, nil
	}
	se := math.Sqrt(f.Variance(unitBeta(len(o.X), coefficient)))
	return profileInterval(profile, f.Beta[coefficient], se, f.LogLik, level)
}

func unitBeta(p, k int) Combination {
	c := Combination{Beta: make([]float64, p)}
	c.Beta[k] = 1
	return c
}

// Profile gives the profile penalised likelihood interval of a coefficient
// (Heinze and Schemper 2002).
func (f *FirthFit) Profile(coefficient int, level float64) (Interval, error) {
	if coefficient < 0 || coefficient >= len(f.Beta) {
		return Interval{}, fmt.Errorf("coefficient %d of %d: %w", coefficient+1, len(f.Beta), ErrArgument)
	}
	top, _, _, err := f.data.firthScore(f.beta)
	if err != nil {
		return Interval{}, err
	}
	from := f.beta
	profile := func(b float64) (float64, error) {
		at := append([]float64(nil), from...)
		at[coefficient] = b * f.scale[coefficient]
		beta, err := f.data.firthClimb(at, coefficient)
		if err != nil {
			return 0, err
		}
		v, _, _, err := f.data.firthScore(beta)
		return v, err
	}
	return profileInterval(profile, f.Beta[coefficient], f.SE[coefficient], top, level)
}

// profileInterval finds where a profile falls by χ²₁/2 on either side.
func profileInterval(profile func(float64) (float64, error), at, se, top, level float64) (Interval, error) {
	if !(level > 0 && level < 1) {
		return Interval{}, fmt.Errorf("level %v: %w", level, ErrArgument)
	}
	drop := distuv.ChiSquared{K: 1}.Quantile(level) / 2
	side := func(sign float64) (float64, error) {
		height := func(b float64) (float64, error) {
			v, err := profile(b)
			return v - (top - drop), err
		}
		in, out, fIn := at, at, drop
		var fOut float64
		for step := se; ; step *= 2 {
			if step > 1e4*se {
				return 0, fmt.Errorf("profile likelihood: %w", ErrUnbounded)
			}
			v, err := height(at + sign*step)
			if err != nil {
				return 0, err
			}
			if v < 0 {
				out, fOut = at+sign*step, v
				break
			}
			in, fIn = at+sign*step, v
		}
		return root(height, in, out, fIn, fOut, 1e-9*se)
	}
	lo, err := side(-1)
	if err != nil {
		return Interval{}, err
	}
	hi, err := side(1)
	return Interval{lo, hi}, err
}

// root narrows a change of sign between a and b by the Illinois variant of
// false position.
func root(f func(float64) (float64, error), a, b, fa, fb, tol float64) (float64, error) {
	side := 0
	for range 200 {
		x := (a*fb - b*fa) / (fb - fa)
		if math.Abs(b-a) < tol || x == a || x == b {
			return x, nil
		}
		v, err := f(x)
		if err != nil {
			return 0, err
		}
		switch {
		case v == 0:
			return x, nil
		case (v > 0) == (fa > 0):
			if math.Abs(x-a) < tol/10 && side == 1 {
				return x, nil
			}
			a, fa = x, v
			if side == 1 {
				fb /= 2
			}
			side = 1
		default:
			if math.Abs(x-b) < tol/10 && side == -1 {
				return x, nil
			}
			b, fb = x, v
			if side == -1 {
				fa /= 2
			}
			side = -1
		}
	}
	return 0, fmt.Errorf("root: %w", ErrNotConverged)
}
