package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Shift is what a few further observations say about effects that add to the
// linear predictor, everything else held.
type Shift struct {
	Mean []float64
	Cov  *mat.SymDense
}

// ShiftBy finds the mode of effects v with independent normal priors of mean
// 0 and the given variances, after observing grades y with
// P(y <= j) = F(tau_j - eta_i - Σ design[i][k]·v_k), and the inverse curvature
// there. The posterior is log-concave, so the mode is the only one; it falls
// when a grade falls.
func ShiftBy(link Link, tau, eta []float64, y []int, design [][]float64, variance []float64) (*Shift, error) {
	if len(eta) != len(y) || len(design) != len(y) || len(variance) == 0 {
		return nil, fmt.Errorf("%d predictors, %d grades, %d design rows: %w", len(eta), len(y), len(design), ErrArgument)
	}
	for _, v := range variance {
		if !(v > 0) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("prior variance %v: %w", v, ErrArgument)
		}
	}
	for i, g := range y {
		if g < 0 || g > len(tau) || len(design[i]) != len(variance) {
			return nil, fmt.Errorf("observation %d: %w", i+1, ErrArgument)
		}
	}
	s := shifting{link, tau, eta, y, design, variance}
	v := make([]float64, len(variance))
	h, g, info := s.at(v)
	for range 200 {
		step, err := solve(info, g)
		if err != nil {
			return nil, err
		}
		if longest(step) < 1e-10 {
			break
		}
		for f := 1.0; f > 1e-12; f /= 2 {
			next := moved(v, step, f)
			if nh, ng, ni := s.at(next); nh >= h-1e-13*(1+math.Abs(h)) {
				v, h, g, info = next, nh, ng, ni
				break
			}
		}
	}
	cov, _, err := inverse(info, len(v))
	if err != nil {
		return nil, err
	}
	return &Shift{Mean: v, Cov: cov}, nil
}

type shifting struct {
	link     Link
	tau, eta []float64
	y        []int
	design   [][]float64
	variance []float64
}

// at gives the log posterior, its gradient and its negative second derivative.
func (s shifting) at(v []float64) (h float64, g, info []float64) {
	k := len(v)
	g, info = make([]float64, k), make([]float64, k*k)
	for j, x := range v {
		h -= x * x / (2 * s.variance[j])
		g[j] = -x / s.variance[j]
		info[j*k+j] = 1 / s.variance[j]
	}
	for i, y := range s.y {
		eta := s.eta[i] + dot(s.design[i], v)
		lo, hi := math.Inf(-1), math.Inf(1)
		if y > 0 {
			lo = s.tau[y-1] - eta
		}
		if y < len(s.tau) {
			hi = s.tau[y] - eta
		}
		c := s.link.cellAt(lo, hi)
		e, ee := c.curvature()
		h += c.logP
		for a, x := range s.design[i] {
			g[a] += e * x
			for b, z := range s.design[i] {
				info[a*k+b] -= ee * x * z
			}
		}
	}
	return h, g, info
}
