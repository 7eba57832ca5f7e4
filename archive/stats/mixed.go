package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Mixed is a cumulative link model with one random intercept at the maximum
// of its Laplace likelihood. SD = 0 is a legitimate answer: the groups then
// do not differ more than chance would make them, the modes are 0 and the
// log-likelihood is that of the model without groups.
type Mixed struct {
	Fit
	// TauSE, BetaSE and SDSE come from the full observed information, the
	// sd among the parameters. At SD = 0, SDSE is NaN and the others are
	// those of the model without groups.
	TauSE, BetaSE []float64
	SDSE          float64
}

// The sds tried before the best one is refined, on the probit scale.
var scanSD = []float64{0.1, 0.2, 0.35, 0.6, 1, 1.6, 2.5, 4, 6.5, 10}

// FitMixed fits the model by maximum likelihood in (tau, beta, sd). The sd is
// searched over a scan of fixed values and refined between them, so that a
// lesser maximum does not mislead, and the whole is polished by Newton's
// method to the true Laplace maximum. Where the fixed part alone is separated
// the mixed one is too, and the error wraps ErrSeparated; an sd that runs
// away gives ErrNotConverged.
func FitMixed(o Ordered) (*Mixed, error) {
	if o.Group == nil {
		return nil, fmt.Errorf("a random intercept needs groups: %w", ErrArgument)
	}
	d, err := o.prepare()
	if err != nil {
		return nil, err
	}
	l := newLaplace(d)
	best, err := l.scan()
	if err != nil {
		return nil, err
	}
	if best.sd == 0 {
		return l.mixedAtZero(best)
	}
	theta, sd, h, err := l.polish(best.theta, best.sd)
	if err != nil {
		return nil, err
	}
	return l.mixedAt(theta, sd, h)
}

// profilePoint is the maximum over thresholds and coefficients at one sd.
type profilePoint struct {
	sd    float64
	theta []float64
	e     evaluation
}

// slope is the derivative of the profile in sd, divided by sd, which has a
// finite limit at 0.
func (p profilePoint) slope() float64 {
	if p.sd == 0 {
		return 2 * p.e.slopeV
	}
	return p.e.gradSD / p.sd
}

func (l *laplace) profileAt(from []float64, sd, tol float64) (profilePoint, error) {
	theta, e, err := l.climb(from, sd, tol)
	return profilePoint{sd, theta, e}, err
}

// scan finds the best sd to about 1e-5.
func (l *laplace) scan() (profilePoint, error) {
	zero, err := l.profileAt(l.d.begin(), 0, 1e-9)
	if err != nil {
		return profilePoint{}, err
	}
	points, best := []profilePoint{zero}, 0
	for _, s := range scanSD {
		last := points[len(points)-1]
		p, err := l.profileAt(last.theta, s*l.d.link.scale(), 1e-3)
		if err != nil {
			break
		}
		points = append(points, p)
		if p.e.logLik > points[best].e.logLik {
			best = len(points) - 1
		}
		if p.e.logLik < points[best].e.logLik-10 {
			break
		}
	}
	if best > 0 && best == len(points)-1 {
		return profilePoint{}, fmt.Errorf("the sd of the groups grows without end: %w", ErrNotConverged)
	}
	if best == 0 && zero.slope() <= 0 {
		return zero, nil
	}
	lo, hi := points[max(0, best-1)], points[best+1]
	if points[best].slope() > 0 {
		lo = points[best]
	} else {
		hi = points[best]
	}
	return l.between(lo, hi)
}

// between narrows two profile points, the profile rising at lo and falling
// at hi, by the Illinois variant of false position.
func (l *laplace) between(lo, hi profilePoint) (profilePoint, error) {
	a, b := lo.slope(), hi.slope()
	mid, side := lo, 0
	for range 60 {
		s := (lo.sd*b - hi.sd*a) / (b - a)
		if !(s > lo.sd && s < hi.sd) {
			s = (lo.sd + hi.sd) / 2
		}
		from := lo.theta
		if hi.sd-s < s-lo.sd {
			from = hi.theta
		}
		p, err := l.profileAt(from, s, 1e-6)
		if err != nil {
			return mid, err
		}
		settled := math.Abs(p.sd-mid.sd) < 1e-4*p.sd
		mid = p
		v := p.slope()
		switch {
		case settled || v == 0:
			return mid, nil
		case v > 0:
			lo, a = p, v
			if side == 1 {
				b /= 2
			}
			side = 1
		default:
			hi, b = p, v
			if side == -1 {
				a /= 2
			}
			side = -1
		}
	}
	return mid, nil
}

// polish takes Newton steps in all parameters with a second derivative by
// central differences of the exact gradient, until they stand still.
func (l *laplace) polish(theta []float64, sd float64) ([]float64, float64, []float64, error) {
	q := len(theta)
	psi := append(append([]float64(nil), theta...), sd)
	h, err := l.secondDerivative(psi)
	if err != nil {
		return nil, 0, nil, err
	}
	travelled := 0.0
	for range 50 {
		g, ok := l.fullGradient(psi)
		if !ok {
			break
		}
		step, err := solve(h, g)
		if err != nil {
			return nil, 0, nil, fmt.Errorf("not a maximum in the sd: %w", ErrNotConverged)
		}
		longest := 0.0
		for i, s := range step {
			psi[i] += s
			longest = math.Max(longest, math.Abs(s))
		}
		travelled += longest
		if longest < 1e-9 {
			// A flat direction magnifies any error in the curvature, so it is
			// taken again where the search ended.
			if travelled > 1e-8 {
				if h, err = l.secondDerivative(psi); err != nil {
					return nil, 0, nil, err
				}
			}
			return psi[:q], math.Abs(psi[q]), h, nil
		}
		if travelled > 1 {
			break
		}
	}
	return nil, 0, nil, fmt.Errorf("polishing the maximum: %w", ErrNotConverged)
}

func (l *laplace) fullGradient(psi []float64) ([]float64, bool) {
	q := len(psi) - 1
	e, ok := l.at(psi[:q], psi[q])
	return append(append([]float64(nil), e.gradient...), e.gradSD), ok
}

// secondDerivative is the negative Hessian of the Laplace log-likelihood in
// thresholds, coefficients and sd, row by row.
func (l *laplace) secondDerivative(psi []float64) ([]float64, error) {
	const step = 1e-4
	m := len(psi)
	h := make([]float64, m*m)
	for i := range psi {
		at := append([]float64(nil), psi...)
		at[i] = psi[i] + step
		up, ok1 := l.fullGradient(at)
		at[i] = psi[i] - step
		down, ok2 := l.fullGradient(at)
		if !ok1 || !ok2 {
			return nil, fmt.Errorf("thresholds too close to differentiate: %w", ErrNotConverged)
		}
		for j := range psi {
			h[i*m+j] = -(up[j] - down[j]) / (2 * step)
		}
	}
	for i := range m {
		for j := range i {
			v := (h[i*m+j] + h[j*m+i]) / 2
			h[i*m+j], h[j*m+i] = v, v
		}
	}
	return h, nil
}

func (l *laplace) mixedAtZero(p profilePoint) (*Mixed, error) {
	f, err := l.gather(p.theta, 0, p.e)
	if err != nil {
		return nil, err
	}
	m := &Mixed{Fit: *f, SDSE: math.NaN()}
	m.standardErrors(f.cov)
	return m, nil
}

func (l *laplace) mixedAt(theta []float64, sd float64, h []float64) (*Mixed, error) {
	e, ok := l.at(theta, sd)
	if !ok {
		return nil, fmt.Errorf("likelihood at the maximum: %w", ErrNotConverged)
	}
	f, err := l.gather(theta, sd, e)
	if err != nil {
		return nil, err
	}
	cov, _, err := inverse(h, len(theta)+1)
	if err != nil {
		return nil, err
	}
	m := &Mixed{Fit: *f, SDSE: math.Sqrt(cov.At(len(theta), len(theta)))}
	m.standardErrors(cov)
	return m, nil
}

// standardErrors brings the standard errors to the scale of the data.
func (m *Mixed) standardErrors(cov *mat.SymDense) {
	q := m.d.size()
	se := func(c Combination) float64 {
		g := m.gradient(c)
		v := 0.0
		for i := range q {
			for j := range q {
				v += g[i] * cov.At(i, j) * g[j]
			}
		}
		return math.Sqrt(v)
	}
	m.TauSE, m.BetaSE = make([]float64, m.d.taus), make([]float64, m.d.p)
	for j := range m.TauSE {
		c := Combination{Tau: make([]float64, m.d.taus)}
		c.Tau[j] = 1
		m.TauSE[j] = se(c)
	}
	for k := range m.BetaSE {
		c := Combination{Beta: make([]float64, m.d.p)}
		c.Beta[k] = 1
		m.BetaSE[k] = se(c)
	}
}
