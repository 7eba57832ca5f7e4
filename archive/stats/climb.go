package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// climb raises the log-likelihood from theta at a fixed sd until a step
// moves no parameter by more than tol, in units of the standardised columns.
// At sd = 0 it is Newton's method, for the joint information is exact there;
// elsewhere that starts a BFGS approximation of what the determinant adds
// (J. Nocedal and S. J. Wright, Numerical Optimization, 2nd ed., 6.1). Steps
// are halved until they climb.
func (l *laplace) climb(theta []float64, sd, tol float64) ([]float64, evaluation, error) {
	e, ok := l.at(theta, sd)
	if !ok {
		return nil, e, fmt.Errorf("likelihood vanishes at the start: %w", ErrNotConverged)
	}
	theta = append([]float64(nil), theta...)
	metric, fresh, err := metricOf(e)
	if err != nil {
		return nil, e, runaway(theta)
	}
	flat := 0
	for range 200 {
		step := metric.times(e.gradient)
		gain, far := dot(step, e.gradient), longest(step)
		if far < tol {
			return theta, e, nil
		}
		// Separated data: the likelihood has nothing left to gain and the
		// parameters still move.
		if sd == 0 && gain < 1e-8*(1+math.Abs(e.logLik)*1e-4) && far > 1e-3 {
			if flat++; flat >= 3 {
				return nil, e, fmt.Errorf("parameters grow without end: %w", ErrSeparated)
			}
		} else {
			flat = 0
		}
		next, ne, climbed := l.line(theta, step, sd, e)
		if !climbed && fresh {
			if gain < 1e-10*(1+math.Abs(e.logLik)) {
				return theta, e, nil
			}
			return nil, e, runaway(theta)
		}
		before, was := theta, e
		if climbed {
			theta, e = next, ne
		}
		if sd > 0 && climbed && metric.update(moved(theta, before, -1), moved(was.gradient, e.gradient, -1)) {
			fresh = false
			continue
		}
		if metric, fresh, err = metricOf(e); err != nil {
			return nil, e, runaway(theta)
		}
	}
	return nil, e, runaway(theta)
}

// metric is an approximate inverse of the information, row by row.
type metric struct {
	n int
	h []float64
}

func metricOf(e evaluation) (metric, bool, error) {
	inv, _, err := inverse(e.information, len(e.gradient))
	if err != nil {
		return metric{}, false, err
	}
	m := metric{n: len(e.gradient), h: make([]float64, len(e.information))}
	for i := range m.n {
		for j := range m.n {
			m.h[i*m.n+j] = inv.At(i, j)
		}
	}
	return m, true, nil
}

func (m metric) times(v []float64) []float64 {
	out := make([]float64, m.n)
	for i := range out {
		out[i] = dot(m.h[i*m.n:(i+1)*m.n], v)
	}
	return out
}

// update learns from a step s that changed the gradient by -y; it reports
// whether the pair is usable.
func (m metric) update(s, y []float64) bool {
	sy := dot(s, y)
	if !(sy > 1e-12*math.Sqrt(dot(s, s)*dot(y, y))) {
		return false
	}
	hy := m.times(y)
	yhy := dot(y, hy)
	for i := range m.n {
		for j := range m.n {
			m.h[i*m.n+j] += (1+yhy/sy)*s[i]*s[j]/sy - (hy[i]*s[j]+s[i]*hy[j])/sy
		}
	}
	return true
}

func dot(a, b []float64) float64 {
	s := 0.0
	for i, v := range a {
		s += v * b[i]
	}
	return s
}

// line takes the longest of step, step/2, step/4 … that does not fall.
func (l *laplace) line(theta, step []float64, sd float64, e evaluation) ([]float64, evaluation, bool) {
	slack := 1e-13 * (1 + math.Abs(e.logLik))
	for f := 1.0; f > 1e-10; f /= 2 {
		next := make([]float64, len(theta))
		for i := range next {
			next[i] = theta[i] + f*step[i]
		}
		if ne, ok := l.at(next, sd); ok && ne.logLik >= e.logLik-slack {
			return next, ne, true
		}
	}
	return nil, e, false
}

// runaway names the failure of a search by where it stopped: standardised
// parameters beyond 15 are probabilities beyond one in a million million.
func runaway(theta []float64) error {
	for _, v := range theta {
		if math.Abs(v) > 15 {
			return fmt.Errorf("parameters grow without end: %w", ErrSeparated)
		}
	}
	return fmt.Errorf("the search stalled: %w", ErrNotConverged)
}

// solve gives A⁻¹b for a positive definite A stored row by row.
func solve(a, b []float64) ([]float64, error) {
	chol, err := cholesky(a, len(b))
	if err != nil {
		return nil, err
	}
	out := mat.NewVecDense(len(b), nil)
	if err := chol.SolveVecTo(out, mat.NewVecDense(len(b), b)); err != nil {
		return nil, fmt.Errorf("%v: %w", err, ErrNotConverged)
	}
	return out.RawVector().Data, nil
}

func cholesky(a []float64, n int) (*mat.Cholesky, error) {
	for _, v := range a {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return nil, fmt.Errorf("information is not finite: %w", ErrNotConverged)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(mat.NewSymDense(n, append([]float64(nil), a...))) || chol.Cond() > 1e14 {
		return nil, fmt.Errorf("information is singular: %w", ErrNotConverged)
	}
	return &chol, nil
}

// inverse gives A⁻¹ of a positive definite A stored row by row, and log|A|.
func inverse(a []float64, n int) (inv *mat.SymDense, logDet float64, err error) {
	chol, err := cholesky(a, n)
	if err != nil {
		return nil, 0, err
	}
	inv = mat.NewSymDense(n, nil)
	if err := chol.InverseTo(inv); err != nil {
		return nil, 0, fmt.Errorf("%v: %w", err, ErrNotConverged)
	}
	return inv, chol.LogDet(), nil
}
