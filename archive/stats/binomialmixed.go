package stats

import (
	"fmt"
	"math"
)

// BinomialMixed is a logistic regression with one random intercept at the
// maximum of its Laplace likelihood, as lme4's glmer fits it.
type BinomialMixed struct {
	Intercept, InterceptSE float64
	Beta, BetaSE           []float64
	SD, SDSE               float64 // SDSE is NaN at SD = 0
	LogLik                 float64 // binomial coefficients included
	Modes, CondVar         []float64
	// Joint answers for combinations of the parameters; its only threshold
	// is the intercept with the sign turned.
	Joint *Fit
}

// FitBinomialMixed fits b, whose columns must not hold a constant, with an
// effect for each group. It is the cumulative model with two grades, each
// row entering once per outcome with its count as weight.
func FitBinomialMixed(b Binomial, group []int, groups int) (*BinomialMixed, error) {
	if len(group) != len(b.K) {
		return nil, fmt.Errorf("%d groups for %d rows: %w", len(group), len(b.K), ErrArgument)
	}
	if len(b.K) == 0 {
		return nil, fmt.Errorf("mixed binary regression: %w", ErrNoData)
	}
	check := b
	if len(b.X) == 0 {
		check.X = [][]float64{make([]float64, len(b.K))}
	}
	if err := check.check(); err != nil {
		return nil, err
	}
	o, constant := b.Ordered(group, groups)
	m, err := FitMixed(o)
	if err != nil {
		return nil, err
	}
	return &BinomialMixed{
		Intercept: -m.Tau[0], InterceptSE: m.TauSE[0], Beta: m.Beta, BetaSE: m.BetaSE,
		SD: m.SD, SDSE: m.SDSE, LogLik: m.LogLik + constant,
		Modes: m.Modes, CondVar: m.CondVar, Joint: &m.Fit,
	}, nil
}

// Ordered gives the same data as two grades of the cumulative model, the
// intercept becoming a threshold with the sign turned, and the constant by
// which the log-likelihoods differ. The columns must not hold a constant; a
// nil group leaves the groups out.
func (b Binomial) Ordered(group []int, groups int) (Ordered, float64) {
	o := Ordered{Grades: 2, X: make([][]float64, len(b.X)), Groups: groups, Link: b.Link}
	constant := 0.0
	for i, k := range b.K {
		constant += logChoose(b.N[i], k)
		for y, w := range []float64{b.N[i] - k, k} {
			if w == 0 {
				continue
			}
			o.Y = append(o.Y, y)
			o.Weight = append(o.Weight, w)
			if group != nil {
				o.Group = append(o.Group, group[i])
			}
			for j, col := range b.X {
				o.X[j] = append(o.X[j], col[i])
			}
		}
	}
	return o, constant
}

// Probability gives F(intercept + x·beta + effect) for a group, or for a
// group not seen (NewGroup, effect 0).
func (m *BinomialMixed) Probability(x []float64, group int) float64 {
	eta := m.Intercept
	for j, v := range x {
		eta += v * m.Beta[j]
	}
	if group != NewGroup {
		eta += m.Modes[group]
	}
	return 1 / (1 + math.Exp(-eta))
}
