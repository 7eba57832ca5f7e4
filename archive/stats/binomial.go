package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Binomial is a data set of K successes among N trials per row, with the
// columns of its design; a constant, if wanted, is a column of ones.
type Binomial struct {
	K, N []float64
	X    [][]float64
	Link Link
}

// BinomialFit is a fitted binary regression.
type BinomialFit struct {
	Beta, SE []float64
	Cov      *mat.SymDense // inverse of the expected information
	LogLik   float64       // binomial coefficients included
	Deviance float64
}

func (b Binomial) check() error {
	n := len(b.K)
	if n == 0 || len(b.X) == 0 {
		return fmt.Errorf("binary regression: %w", ErrNoData)
	}
	if len(b.N) != n {
		return fmt.Errorf("%d successes, %d trials: %w", n, len(b.N), ErrArgument)
	}
	for j, col := range b.X {
		if len(col) != n {
			return fmt.Errorf("column %d has %d values for %d rows: %w", j+1, len(col), n, ErrArgument)
		}
		for i, v := range col {
			if math.IsNaN(v - v) {
				return fmt.Errorf("column %d, row %d: %v: %w", j+1, i+1, v, ErrArgument)
			}
		}
	}
	for i, k := range b.K {
		if !(k >= 0 && k <= b.N[i]) || math.IsInf(b.N[i], 0) {
			return fmt.Errorf("row %d: %v of %v: %w", i+1, k, b.N[i], ErrArgument)
		}
	}
	return nil
}

// scaled divides each column by its largest value, so that steps and
// singularity mean the same in every unit.
func (b Binomial) scaled() (Binomial, []float64, error) {
	if err := b.check(); err != nil {
		return b, nil, err
	}
	scale := make([]float64, len(b.X))
	x := make([][]float64, len(b.X))
	for j, col := range b.X {
		for _, v := range col {
			scale[j] = math.Max(scale[j], math.Abs(v))
		}
		if scale[j] == 0 {
			return b, nil, fmt.Errorf("column %d is zero: %w", j+1, ErrCollinear)
		}
		x[j] = make([]float64, len(col))
		for i, v := range col {
			x[j][i] = v / scale[j]
		}
	}
	b.X = x
	if _, err := cholesky(b.crossProducts(b.N), len(b.X)); err != nil {
		return b, nil, fmt.Errorf("design of %d columns: %w", len(b.X), ErrCollinear)
	}
	return b, scale, nil
}

// crossProducts is XᵀWX, row by row.
func (b Binomial) crossProducts(w []float64) []float64 {
	p := len(b.X)
	out := make([]float64, p*p)
	for a := range p {
		for c := a; c < p; c++ {
			s := 0.0
			for i, wi := range w {
				s += wi * b.X[a][i] * b.X[c][i]
			}
			out[a*p+c], out[c*p+a] = s, s
		}
	}
	return out
}

func (b Binomial) eta(beta []float64, i int) float64 {
	v := 0.0
	for j, col := range b.X {
		v += beta[j] * col[i]
	}
	return v
}

// score gives the log-likelihood without constants, the gradient and the
// expected information of the coefficients.
func (b Binomial) score(beta []float64) (logLik float64, gradient, information []float64) {
	gradient = make([]float64, len(beta))
	w := make([]float64, len(b.K))
	for i, k := range b.K {
		eta := b.eta(beta, i)
		up, down := b.Link.cellAt(-eta, math.Inf(1)), b.Link.cellAt(math.Inf(-1), -eta)
		if k > 0 {
			logLik += k * up.logP
		}
		if b.N[i] > k {
			logLik += (b.N[i] - k) * down.logP
		}
		// d log P/d eta is f/P for a success and -f/(1-P) for a failure, and
		// their product is f²/(P(1-P)).
		g := k*up.ra - (b.N[i]-k)*down.rb
		w[i] = b.N[i] * up.ra * down.rb
		for j, col := range b.X {
			gradient[j] += g * col[i]
		}
	}
	return logLik, gradient, b.crossProducts(w)
}

// FitBinomial fits by Fisher scoring, as R's glm does (P. McCullagh and J. A.
// Nelder, Generalized Linear Models, 2nd ed., 2.5). Standard errors come from
// the expected information.
func FitBinomial(b Binomial) (*BinomialFit, error) {
	s, scale, err := b.scaled()
	if err != nil {
		return nil, err
	}
	beta := make([]float64, len(s.X))
	logLik, g, info := s.score(beta)
	flat := 0
	for range 200 {
		step, err := solve(info, g)
		if err != nil {
			return nil, runaway(beta)
		}
		gain, longest, size := 0.0, 0.0, 0.0
		for j := range step {
			gain += step[j] * g[j]
			longest = math.Max(longest, math.Abs(step[j]))
			size = math.Max(size, math.Abs(beta[j]))
		}
		if longest < 1e-10*(1+size) {
			return s.result(beta, scale, info)
		}
		if gain < 1e-8 && longest > 1e-3*(1+size) {
			if flat++; flat >= 3 {
				return nil, fmt.Errorf("coefficients grow without end: %w", ErrSeparated)
			}
		} else {
			flat = 0
		}
		for f := 1.0; ; f /= 2 {
			next := make([]float64, len(beta))
			for j := range next {
				next[j] = beta[j] + f*step[j]
			}
			ll, ng, ni := s.score(next)
			if ll >= logLik-1e-12*(1+math.Abs(logLik)) {
				beta, logLik, g, info = next, ll, ng, ni
				break
			}
			if f < 1e-8 {
				return nil, runaway(beta)
			}
		}
	}
	return nil, fmt.Errorf("coefficients still moving: %w", ErrSeparated)
}

func (b Binomial) result(beta, scale, info []float64) (*BinomialFit, error) {
	p := len(beta)
	inv, _, err := inverse(info, p)
	if err != nil {
		return nil, runaway(beta)
	}
	f := &BinomialFit{Beta: make([]float64, p), SE: make([]float64, p), Cov: mat.NewSymDense(p, nil)}
	for j := range p {
		f.Beta[j] = beta[j] / scale[j]
		for k := j; k < p; k++ {
			f.Cov.SetSym(j, k, inv.At(j, k)/(scale[j]*scale[k]))
		}
		f.SE[j] = math.Sqrt(f.Cov.At(j, j))
	}
	f.LogLik, _, _ = b.score(beta)
	saturated := 0.0
	for i, k := range b.K {
		n := b.N[i]
		f.LogLik += logChoose(n, k)
		if k > 0 && k < n {
			saturated += k*math.Log(k/n) + (n-k)*math.Log1p(-k/n)
		}
		saturated += logChoose(n, k)
	}
	f.Deviance = 2 * (saturated - f.LogLik)
	return f, nil
}

func logChoose(n, k float64) float64 {
	a, _ := math.Lgamma(n + 1)
	b, _ := math.Lgamma(k + 1)
	c, _ := math.Lgamma(n - k + 1)
	return a - b - c
}
