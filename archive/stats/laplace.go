package stats

import "math"

// laplace evaluates the log-likelihood of a cumulative link model with one
// random intercept, integrated by Laplace's method: with b = sd·u,
// u standard normal, a group adds
//
//	h(û) - ½·log(1 + sd²·D),  h(u) = Σ w·log P(eta + sd·u) - u²/2,
//
// where D = -Σ w·∂²log P/∂eta² is the observed curvature at the mode û. The
// groups are independent given the parameters, so the work is linear in the
// observations. sd = 0 is the model without groups.
type laplace struct {
	d            *ordered
	u            []float64 // modes, kept from call to call as starting points
	eta          []float64
	mixed, third []float64 // scratch of one group
}

func newLaplace(d *ordered) *laplace {
	q := d.size()
	return &laplace{d: d, u: make([]float64, d.groups()), eta: make([]float64, d.n),
		mixed: make([]float64, q), third: make([]float64, q)}
}

// evaluation is the log-likelihood at one point with its derivatives.
type evaluation struct {
	logLik   float64
	gradient []float64 // in thresholds and coefficients
	gradSD   float64
	// slopeV is d logLik/d(sd²) at sd = 0, where gradSD is 0 by symmetry.
	slopeV float64
	// information is the negative second derivative of the joint
	// log-likelihood in thresholds and coefficients, row by row, with the
	// modes eliminated.
	information []float64
	cross       []float64 // ∂û/∂theta of each group, row by row
	curve       []float64 // D of each group
	u           []float64 // û of each group
}

// at evaluates; ok is false where the thresholds are not in order or the
// likelihood vanishes.
func (l *laplace) at(theta []float64, sd float64) (e evaluation, ok bool) {
	d := l.d
	for j := 1; j < d.taus; j++ {
		if !(theta[j-1] < theta[j]) {
			return evaluation{logLik: math.Inf(-1)}, false
		}
	}
	for i := range d.n {
		v := d.off[i]
		for k, x := range d.x[i*d.p : (i+1)*d.p] {
			v += x * theta[d.taus+k]
		}
		l.eta[i] = v
	}
	q, groups := d.size(), d.groups()
	e = evaluation{gradient: make([]float64, q), information: make([]float64, q*q),
		cross: make([]float64, groups*q), curve: make([]float64, groups)}
	if groups == 0 {
		l.group(&e, theta, 0, 0, d.n)
	}
	for g := range groups {
		from, to := d.start[g], d.start[g+1]
		l.u[g] = l.mode(theta, sd, from, to, l.u[g])
		sums := l.group(&e, theta, sd*l.u[g], from, to)
		l.integrate(&e, g, sd, sums)
	}
	e.u = append(e.u, l.u...)
	for a := range q {
		for b := range a {
			e.information[a*q+b] = e.information[b*q+a]
		}
	}
	return e, !math.IsInf(e.logLik, 0) && !math.IsNaN(e.logLik)
}

// bounds gives the ends of an observation's cell for a linear predictor.
func (d *ordered) bounds(theta []float64, y int, eta float64) (a, b float64) {
	a, b = math.Inf(-1), math.Inf(1)
	if y > 0 {
		a = theta[y-1] - eta
	}
	if y < d.taus {
		b = theta[y] - eta
	}
	return a, b
}

// mode finds û of one group by Newton's method on a concave function, halving
// a step that does not climb.
func (l *laplace) mode(theta []float64, sd float64, from, to int, u float64) float64 {
	if sd == 0 || from == to {
		return 0
	}
	h, slope, curve := l.height(theta, sd, from, to, u)
	if math.IsInf(h, 0) || math.IsNaN(h) {
		u = 0
		h, slope, curve = l.height(theta, sd, from, to, u)
	}
	for range 100 {
		step := slope / curve
		if math.IsNaN(step) {
			return u
		}
		if math.Abs(step) < 1e-9*(1+math.Abs(u)) {
			return u + step
		}
		next := u + step
		nh, ns, nc := l.height(theta, sd, from, to, next)
		for tries := 0; !(nh >= h-1e-12*(1+math.Abs(h))) && tries < 60; tries++ {
			step /= 2
			next = u + step
			nh, ns, nc = l.height(theta, sd, from, to, next)
		}
		u, h, slope, curve = next, nh, ns, nc
	}
	return u
}

// height gives h(u) of a group, its slope and its negative curvature.
func (l *laplace) height(theta []float64, sd float64, from, to int, u float64) (h, slope, curve float64) {
	d := l.d
	h, slope, curve = -u*u/2, -u, 1
	for i := from; i < to; i++ {
		a, b := d.bounds(theta, d.y[i], l.eta[i]+sd*u)
		c := d.link.cellAt(a, b)
		e, ee := c.curvature()
		h += d.w[i] * c.logP
		slope += sd * d.w[i] * e
		curve -= sd * sd * d.w[i] * ee
	}
	return h, slope, curve
}

// groupSums are sums over a group of weighted derivatives in eta.
type groupSums struct{ e, ee, eee float64 }

// group adds a group's observations, at effect b, to the joint
// log-likelihood, its gradient and information, and leaves in l.mixed and
// l.third the sums of ∂²log P/∂eta∂theta and ∂³log P/∂eta²∂theta.
func (l *laplace) group(e *evaluation, theta []float64, b float64, from, to int) groupSums {
	d, q := l.d, l.d.size()
	clear(l.mixed)
	clear(l.third)
	var sum groupSums
	for i := from; i < to; i++ {
		y, w := d.y[i], d.w[i]
		lo, hi := d.bounds(theta, y, l.eta[i]+b)
		s := d.link.cellAt(lo, hi).slopes()
		e.logLik += w * s.logP
		sum.e += w * s.e
		sum.ee += w * s.ee
		sum.eee += w * s.eee
		x := d.x[i*d.p : (i+1)*d.p]
		if y > 0 {
			a := y - 1
			e.gradient[a] += w * s.la
			l.mixed[a] += w * s.ea
			l.third[a] += w * s.eea
			e.information[a*q+a] -= w * s.laa
			for k, v := range x {
				e.information[a*q+d.taus+k] -= w * s.ea * v
			}
		}
		if y < d.taus {
			e.gradient[y] += w * s.lb
			l.mixed[y] += w * s.eb
			l.third[y] += w * s.eeb
			e.information[y*q+y] -= w * s.lbb
			for k, v := range x {
				e.information[y*q+d.taus+k] -= w * s.eb * v
			}
			if y > 0 {
				e.information[(y-1)*q+y] -= w * s.lab
			}
		}
		for k, v := range x {
			r := d.taus + k
			e.gradient[r] += w * s.e * v
			l.mixed[r] += w * s.ee * v
			l.third[r] += w * s.eee * v
			for m := k; m < d.p; m++ {
				e.information[r*q+d.taus+m] -= w * s.ee * v * x[m]
			}
		}
	}
	return sum
}

// integrate turns a group's joint log-likelihood into Laplace's integral. The
// mode moves with the parameters, which the derivative of the determinant
// follows: dD/dtheta = -third - sd·Σeee·du/dtheta.
func (l *laplace) integrate(e *evaluation, g int, sd float64, sum groupSums) {
	u, q := l.u[g], l.d.size()
	curve := -sum.ee
	c := 1 + sd*sd*curve
	e.curve[g] = curve
	e.logLik -= u*u/2 + math.Log(c)/2
	e.slopeV += (sum.e*sum.e - curve) / 2
	cross := e.cross[g*q : (g+1)*q]
	half := sd * sd / (2 * c)
	for r := range cross {
		cross[r] = sd * l.mixed[r] / c
		e.gradient[r] += half * (l.third[r] + sd*sum.eee*cross[r])
	}
	du := (sum.e - sd*u*curve) / c
	e.gradSD += u*sum.e - (2*sd*curve-sd*sd*sum.eee*(u+sd*du))/(2*c)
	for a := range q {
		for b := a; b < q; b++ {
			e.information[a*q+b] -= c * cross[a] * cross[b]
		}
	}
}
