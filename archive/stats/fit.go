package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Fit is a cumulative link model fitted with the sd of the group effects held
// at SD (0 for a model without groups). Tau and Beta are on the scale of the
// data.
type Fit struct {
	Tau, Beta []float64
	SD        float64
	LogLik    float64
	Modes     []float64 // effect of each group where the joint likelihood peaks
	CondVar   []float64 // variance of each effect given the parameters

	d     *ordered
	theta []float64
	cov   *mat.SymDense // inverse of the information, standardised
	cross []float64     // ∂(group effect)/∂theta, row by row
}

// fitAt climbs from theta at a fixed sd and gathers what the fit is asked for.
func (l *laplace) fitAt(theta []float64, sd, tol float64) (*Fit, evaluation, error) {
	theta, e, err := l.climb(theta, sd, tol)
	if err != nil {
		return nil, e, err
	}
	f, err := l.gather(theta, sd, e)
	return f, e, err
}

func (l *laplace) gather(theta []float64, sd float64, e evaluation) (*Fit, error) {
	d := l.d
	f := &Fit{SD: sd, LogLik: e.logLik, d: d, theta: theta,
		Modes: make([]float64, d.groups()), CondVar: make([]float64, d.groups()), cross: e.cross}
	f.Tau, f.Beta = d.restore(theta)
	for g := range f.Modes {
		f.Modes[g] = sd * e.u[g]
		f.CondVar[g] = sd * sd / (1 + sd*sd*e.curve[g])
	}
	for i := range f.cross {
		f.cross[i] *= sd
	}
	var err error
	f.cov, _, err = inverse(e.information, d.size())
	return f, err
}

// FitOrdered fits the model without group effects, by Newton's method with
// the observed information (as R's ordinal::clm does). The response may have
// any number of grades; each must occur.
func FitOrdered(o Ordered) (*Fit, error) {
	o.Group, o.Groups = nil, 0
	d, err := o.prepare()
	if err != nil {
		return nil, err
	}
	f, _, err := newLaplace(d).fitAt(d.begin(), 0, 1e-9)
	return f, err
}

// FitOrderedAt fits the model with the sd of the group effects held at sd.
func FitOrderedAt(o Ordered, sd float64) (*Fit, error) {
	if !(sd >= 0) || math.IsInf(sd, 0) {
		return nil, fmt.Errorf("sd %v: %w", sd, ErrArgument)
	}
	d, err := o.prepare()
	if err != nil {
		return nil, err
	}
	l := newLaplace(d)
	theta, _, err := l.climb(d.begin(), 0, 1e-6)
	if err != nil {
		return nil, err
	}
	f, _, err := l.fitAt(theta, sd, 1e-8)
	return f, err
}

// Combination is a linear combination of thresholds, coefficients and, with
// weight Effect, the effect of one group. A Group of NewGroup stands for a
// group not seen yet, whose effect is 0 give or take SD.
type Combination struct {
	Tau, Beta []float64 // nil for zeros
	Group     int
	Effect    float64
}

// NewGroup in a Combination means a group without observations.
const NewGroup = -1

// Value gives the combination at the fitted values.
func (f *Fit) Value(c Combination) float64 {
	v := 0.0
	for j, w := range c.Tau {
		v += w * f.Tau[j]
	}
	for k, w := range c.Beta {
		v += w * f.Beta[k]
	}
	if c.Effect != 0 && c.Group != NewGroup {
		v += c.Effect * f.Modes[c.Group]
	}
	return v
}

// Covariance gives the covariance of two combinations from the inverse joint
// information of thresholds, coefficients and group effects, sd held fixed.
func (f *Fit) Covariance(a, b Combination) float64 {
	x, y := f.gradient(a), f.gradient(b)
	v := mat.Inner(mat.NewVecDense(len(x), x), f.cov, mat.NewVecDense(len(y), y))
	if a.Effect != 0 && b.Effect != 0 && a.Group == b.Group {
		own := f.SD * f.SD
		if a.Group != NewGroup {
			own = f.CondVar[a.Group]
		}
		v += a.Effect * b.Effect * own
	}
	return v
}

// Variance is Covariance of a combination with itself.
func (f *Fit) Variance(c Combination) float64 { return f.Covariance(c, c) }

// gradient is a combination's derivative in the standardised parameters, the
// group effect following them.
func (f *Fit) gradient(c Combination) []float64 {
	full := make([]float64, f.d.size())
	copy(full, c.Tau)
	copy(full[f.d.taus:], c.Beta)
	g := f.d.pullBack(full)
	if c.Effect != 0 && c.Group != NewGroup {
		for r, v := range f.cross[c.Group*len(g) : (c.Group+1)*len(g)] {
			g[r] += c.Effect * v
		}
	}
	return g
}

// Cov gives the covariance matrix of (Tau, Beta), sd held fixed.
func (f *Fit) Cov() *mat.SymDense {
	q := f.d.size()
	unit := func(i int) Combination {
		c := Combination{Tau: make([]float64, f.d.taus), Beta: make([]float64, f.d.p)}
		if i < f.d.taus {
			c.Tau[i] = 1
		} else {
			c.Beta[i-f.d.taus] = 1
		}
		return c
	}
	out := mat.NewSymDense(q, nil)
	for i := range q {
		for j := i; j < q; j++ {
			out.SetSym(i, j, f.Covariance(unit(i), unit(j)))
		}
	}
	return out
}
