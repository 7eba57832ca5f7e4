package stats

import (
	"fmt"
	"math"
)

// FirthFit is a logistic regression with Firth's penalty.
type FirthFit struct {
	BinomialFit         // SE and Cov from the Fisher information; LogLik is unpenalised
	Penalised   float64 // LogLik + ½·log|information|

	data  Binomial
	scale []float64
	beta  []float64 // scaled
}

// FitFirth maximises the likelihood times the square root of the determinant
// of the information (D. Firth, Biometrika 80 (1993) 27-38; G. Heinze and M.
// Schemper, Statistics in Medicine 21 (2002) 2409-2419): every estimate is
// finite, separation or not. The link is always the logit. Scoring comes near
// and Newton's method on the penalised score finishes.
func FitFirth(b Binomial) (*FirthFit, error) {
	b.Link = Logit
	s, scale, err := b.scaled()
	if err != nil {
		return nil, err
	}
	beta, err := s.firthClimb(make([]float64, len(s.X)), -1)
	if err != nil {
		return nil, err
	}
	_, _, info := s.score(beta)
	r, err := s.result(beta, scale, info)
	if err != nil {
		return nil, err
	}
	penalised, _, _, err := s.firthScore(beta)
	if err != nil {
		return nil, err
	}
	constant := 0.0
	for i, k := range s.K {
		constant += logChoose(s.N[i], k)
	}
	for _, v := range scale {
		constant += math.Log(v)
	}
	return &FirthFit{BinomialFit: *r, Penalised: penalised + constant, data: s, scale: scale, beta: beta}, nil
}

// firthScore gives the penalised log-likelihood, its gradient
// Σ(k - nπ + h(½ - π))x with h the leverage, and the Fisher information.
func (b Binomial) firthScore(beta []float64) (penalised float64, gradient, info []float64, err error) {
	p := len(beta)
	logLik, gradient, info := b.score(beta)
	inv, logDet, err := inverse(info, p)
	if err != nil {
		return 0, nil, nil, err
	}
	for i := range b.K {
		pi := Logit.P(b.eta(beta, i))
		h := 0.0
		for j := range p {
			for k := range p {
				h += b.X[j][i] * inv.At(j, k) * b.X[k][i]
			}
		}
		h *= b.N[i] * pi * (1 - pi)
		for j := range p {
			gradient[j] += h * (0.5 - pi) * b.X[j][i]
		}
	}
	return logLik + logDet/2, gradient, info, nil
}

// firthClimb maximises the penalised likelihood; a coefficient numbered fixed
// keeps its value, none if fixed is negative.
func (b Binomial) firthClimb(beta []float64, fixed int) ([]float64, error) {
	beta = append([]float64(nil), beta...)
	f, g, info, err := b.firthScore(beta)
	if err != nil {
		return nil, err
	}
	for range 500 {
		step, err := solveFree(info, g, fixed)
		if err != nil {
			return nil, err
		}
		if longest(step) < 1e-3 {
			return b.firthPolish(beta, fixed)
		}
		// No step longer than 5 in a scaled coefficient: far out the
		// information is flat and the step meaningless.
		factor := math.Min(1, 5/longest(step))
		for ; factor > 1e-8; factor /= 2 {
			next := moved(beta, step, factor)
			nf, ng, ni, err := b.firthScore(next)
			if err == nil && nf >= f-1e-12*(1+math.Abs(f)) {
				beta, f, g, info = next, nf, ng, ni
				break
			}
		}
		if factor <= 1e-8 {
			return b.firthPolish(beta, fixed)
		}
	}
	return nil, fmt.Errorf("penalised likelihood: %w", ErrNotConverged)
}

// firthPolish solves score = 0 by Newton's method with the derivative of the
// penalised score by central differences.
func (b Binomial) firthPolish(beta []float64, fixed int) ([]float64, error) {
	const h = 1e-5
	p := len(beta)
	for range 50 {
		_, g, _, err := b.firthScore(beta)
		if err != nil {
			return nil, err
		}
		info := make([]float64, p*p)
		for j := range p {
			at := append([]float64(nil), beta...)
			at[j] = beta[j] + h
			_, up, _, err1 := b.firthScore(at)
			at[j] = beta[j] - h
			_, down, _, err2 := b.firthScore(at)
			if err1 != nil || err2 != nil {
				return nil, fmt.Errorf("penalised likelihood: %w", ErrNotConverged)
			}
			for k := range p {
				info[j*p+k] -= (up[k] - down[k]) / (4 * h)
				info[k*p+j] -= (up[k] - down[k]) / (4 * h)
			}
		}
		step, err := solveFree(info, g, fixed)
		if err != nil {
			return nil, err
		}
		beta = moved(beta, step, 1)
		if longest(step) < 1e-11*(1+longest(beta)) {
			return beta, nil
		}
	}
	return nil, fmt.Errorf("penalised likelihood: %w", ErrNotConverged)
}

// solveFree is solve with one coefficient held, none if fixed is negative.
func solveFree(info, g []float64, fixed int) ([]float64, error) {
	if fixed < 0 {
		return solve(info, g)
	}
	p := len(g)
	if p == 1 {
		return []float64{0}, nil
	}
	var a, b []float64
	for i := range p {
		if i == fixed {
			continue
		}
		b = append(b, g[i])
		for j := range p {
			if j != fixed {
				a = append(a, info[i*p+j])
			}
		}
	}
	s, err := solve(a, b)
	if err != nil {
		return nil, err
	}
	return append(s[:fixed:fixed], append([]float64{0}, s[fixed:]...)...), nil
}

func moved(x, step []float64, f float64) []float64 {
	out := make([]float64, len(x))
	for i := range x {
		out[i] = x[i] + f*step[i]
	}
	return out
}

func longest(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m = math.Max(m, math.Abs(v))
	}
	return m
}
