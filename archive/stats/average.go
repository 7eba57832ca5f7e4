package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// Averaged is the mixed model with the sd of the groups not plugged in but
// averaged over: fits at a few values of the sd, each with its posterior
// weight under a half-normal(0, 1) prior on the probit scale. Intervals from
// it cover better than those at the estimate when groups are few.
type Averaged struct {
	Fits   []*Fit
	Weight []float64 // sums to 1
}

// averageNodes is the number of values of the sd; nine suffice, since they
// span only where the posterior lies.
const averageNodes = 9

// AverageOverSD fits the model at nine Gauss-Legendre nodes over the range
// of the sd that carries the posterior. A node's weight is its profile
// likelihood, thresholds and coefficients at their best, times the prior.
func AverageOverSD(o Ordered) (*Averaged, error) {
	if o.Group == nil {
		return nil, fmt.Errorf("averaging over an sd needs groups: %w", ErrArgument)
	}
	d, err := o.prepare()
	if err != nil {
		return nil, err
	}
	s := &sdPosterior{l: newLaplace(d), scale: d.link.scale()}
	if s.theta, _, err = s.l.climb(d.begin(), 0, 1e-6); err != nil {
		return nil, err
	}
	lo, hi := s.support()
	x, w := make([]float64, averageNodes), make([]float64, averageNodes)
	quad.Legendre{}.FixedLocations(x, w, lo, hi)
	a := &Averaged{Weight: make([]float64, averageNodes)}
	top := math.Inf(-1)
	for i, sd := range x {
		f, err := s.fit(sd)
		if err != nil {
			return nil, err
		}
		a.Fits = append(a.Fits, f)
		a.Weight[i] = math.Log(w[i]) + s.logPosterior(f)
		top = math.Max(top, a.Weight[i])
	}
	total := 0.0
	for i, v := range a.Weight {
		a.Weight[i] = math.Exp(v - top)
		total += a.Weight[i]
	}
	for i := range a.Weight {
		a.Weight[i] /= total
	}
	return a, nil
}

// sdPosterior walks along the sd with warm starts.
type sdPosterior struct {
	l     *laplace
	scale float64
	theta []float64
}

func (s *sdPosterior) fit(sd float64) (*Fit, error) {
	f, _, err := s.l.fitAt(s.theta, sd, 1e-5)
	if err == nil {
		s.theta = f.theta
	}
	return f, err
}

// logPosterior is the log of profile likelihood times prior, up to a constant.
func (s *sdPosterior) logPosterior(f *Fit) float64 {
	z := f.SD / s.scale
	return f.LogLik - z*z/2
}

// support finds where the log posterior lies within 8 of its maximum, which
// leaves out less than one part in a thousand.
func (s *sdPosterior) support() (lo, hi float64) {
	grid := append([]float64{0}, scanSD...)
	value := make([]float64, 0, len(grid))
	best := 0
	for i, sd := range grid {
		value = append(value, s.valueAt(sd*s.scale))
		if value[i] > value[best] {
			best = i
		}
		if value[i] < value[best]-8 {
			break
		}
	}
	floor := value[best] - 8
	// The grid may straddle a narrow peak: climb it first.
	lo, hi = 0, grid[len(value)-1]*s.scale
	peak := grid[best] * s.scale
	left, right := grid[max(0, best-1)]*s.scale, grid[min(best+1, len(value)-1)]*s.scale
	for range 12 {
		a, b := left+(right-left)/3, right-(right-left)/3
		va, vb := s.valueAt(a), s.valueAt(b)
		if va > vb {
			right = b
		} else {
			left = a
		}
		if v := math.Max(va, vb); v-8 > floor {
			floor, peak = v-8, a
			if vb > va {
				peak = b
			}
		}
	}
	for i, v := range value {
		sd := grid[i] * s.scale
		if sd < peak && v < floor {
			lo = sd
		}
		if sd > peak && v < floor {
			hi = sd
			break
		}
	}
	return s.edge(lo, peak, floor), s.edge(hi, peak, floor)
}

// valueAt is the log posterior to about a thousandth, enough to find where it
// lies.
func (s *sdPosterior) valueAt(sd float64) float64 {
	theta, e, err := s.l.climb(s.theta, sd, 1e-2)
	if err != nil {
		return math.Inf(-1)
	}
	s.theta = theta
	z := sd / s.scale
	return e.logLik - z*z/2
}

// edge moves from outside towards the peak to where the posterior reaches
// floor, by halving; an outer end already above the floor stays.
func (s *sdPosterior) edge(outside, peak, floor float64) float64 {
	if s.valueAt(outside) >= floor {
		return outside
	}
	inside := peak
	for range 5 {
		mid := (outside + inside) / 2
		if s.valueAt(mid) < floor {
			outside = mid
		} else {
			inside = mid
		}
	}
	return outside
}

// Ratio gives the interval of the ratio of two combinations: at each node the
// ratio is taken as normal with its delta standard error, and the interval
// holds the middle of their mixture.
func (a *Averaged) Ratio(num, den Combination, level float64) (Interval, error) {
	mean, sd := make([]float64, len(a.Fits)), make([]float64, len(a.Fits))
	for i, f := range a.Fits {
		var err error
		mean[i], sd[i], err = f.Ratio(num, den)
		if err != nil {
			return Interval{}, err
		}
	}
	return a.Mixture(mean, sd, level)
}

// Mixture gives the middle part, of probability level, of a mixture of one
// normal distribution per node.
func (a *Averaged) Mixture(mean, sd []float64, level float64) (Interval, error) {
	if !(level > 0 && level < 1) {
		return Interval{}, fmt.Errorf("level %v: %w", level, ErrArgument)
	}
	if len(mean) != len(a.Weight) || len(sd) != len(a.Weight) {
		return Interval{}, fmt.Errorf("%d means for %d nodes: %w", len(mean), len(a.Weight), ErrArgument)
	}
	lo, err := a.quantile(mean, sd, (1-level)/2)
	if err != nil {
		return Interval{}, err
	}
	hi, err := a.quantile(mean, sd, (1+level)/2)
	return Interval{lo, hi}, err
}

// Ratio gives the ratio of two combinations and its delta standard error.
func (f *Fit) Ratio(num, den Combination) (value, se float64, err error) {
	return Ratio(f.Value(num), f.Value(den), f.Variance(num), f.Variance(den), f.Covariance(num, den))
}

func (a *Averaged) quantile(mean, sd []float64, p float64) (float64, error) {
	lo, hi := math.Inf(1), math.Inf(-1)
	z := distuv.UnitNormal.Quantile(p)
	for i := range mean {
		lo, hi = math.Min(lo, mean[i]+z*sd[i]), math.Max(hi, mean[i]+z*sd[i])
	}
	if hi-lo < 1e-12 {
		return lo, nil
	}
	height := func(x float64) (float64, error) {
		v := -p
		for i, w := range a.Weight {
			if sd[i] > 0 {
				v += w * Probit.P((x-mean[i])/sd[i])
			} else if x >= mean[i] {
				v += w
			}
		}
		return v, nil
	}
	fl, _ := height(lo)
	fh, _ := height(hi)
	if fl >= 0 {
		return lo, nil
	}
	if fh <= 0 {
		return hi, nil
	}
	return root(height, lo, hi, fl, fh, 1e-12*(1+math.Abs(hi)))
}
