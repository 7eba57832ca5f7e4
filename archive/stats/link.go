package stats

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Link is the distribution function F that turns a linear predictor into a
// probability.
type Link int

// The links: Probit is the standard normal, Logit the standard logistic.
const (
	Probit Link = iota
	Logit
)

func (l Link) String() string {
	if l == Logit {
		return "logit"
	}
	return "probit"
}

// P is F(x).
func (l Link) P(x float64) float64 {
	if l == Logit {
		return 1 / (1 + math.Exp(-x))
	}
	return 0.5 * math.Erfc(-x/math.Sqrt2)
}

// Quantile is the inverse of P.
func (l Link) Quantile(p float64) float64 {
	if l == Logit {
		return math.Log(p) - math.Log1p(-p)
	}
	return distuv.UnitNormal.Quantile(p)
}

// scale is how much wider the link's latent error is than the probit's,
// roughly; searches over a standard deviation use it.
func (l Link) scale() float64 {
	if l == Logit {
		return math.Pi / math.Sqrt(3)
	}
	return 1
}

// cell is the probability P = F(b) - F(a) of one grade between two
// thresholds less the linear predictor, with the densities there as ratios to
// it, so that nothing underflows before the ratio is taken: ra = f(a)/P,
// da = f'(a)/P, ha = f”(a)/P, and so for b. An infinite end has ratios 0.
type cell struct {
	logP                   float64
	ra, rb, da, db, ha, hb float64
}

// cellAt computes the cell between a and b. With b <= a it has logP = -Inf.
func (l Link) cellAt(a, b float64) cell {
	if !(a < b) {
		return cell{logP: math.Inf(-1)}
	}
	if l == Logit {
		return logitCell(a, b)
	}
	return probitCell(a, b)
}

// logitCell uses F(b)-F(a) = F(b)·(1-F(a))·(1-e^(a-b)), which loses nothing
// in either tail.
func logitCell(a, b float64) cell {
	w := -math.Expm1(a - b)
	lfa, lfb := logLogistic(a), logLogistic(b)
	lqa, lqb := logLogistic(-a), logLogistic(-b)
	c := cell{logP: lfb + lqa + math.Log(w)}
	if !math.IsInf(a, -1) {
		c.ra = math.Exp(lfa-lfb) / w
		f := math.Exp(lfa)
		c.da = (1 - 2*f) * c.ra
		c.ha = (1 - 6*f*(1-f)) * c.ra
	}
	if !math.IsInf(b, 1) {
		c.rb = math.Exp(lqb-lqa) / w
		f := math.Exp(lfb)
		c.db = (1 - 2*f) * c.rb
		c.hb = (1 - 6*f*(1-f)) * c.rb
	}
	return c
}

// logLogistic is log F(x) of the logistic distribution.
func logLogistic(x float64) float64 {
	if x > 0 {
		return -math.Log1p(math.Exp(-x))
	}
	return x - math.Log1p(math.Exp(x))
}

const (
	invSqrt2Pi = 0.398942280401432677939946059934
	// smallP is where probabilities come near the smallest numbers and the
	// work moves to logarithms.
	smallP = 1e-280
)

func probitCell(a, b float64) cell {
	p := probitBetween(a, b)
	if p < smallP {
		return probitTailCell(a, b)
	}
	c := cell{logP: math.Log(p)}
	if !math.IsInf(a, -1) {
		c.setA(a, invSqrt2Pi*math.Exp(-a*a/2)/p)
	}
	if !math.IsInf(b, 1) {
		c.setB(b, invSqrt2Pi*math.Exp(-b*b/2)/p)
	}
	return c
}

func (c *cell) setA(a, ratio float64) { c.ra, c.da, c.ha = ratio, -a*ratio, (a*a-1)*ratio }
func (c *cell) setB(b, ratio float64) { c.rb, c.db, c.hb = ratio, -b*ratio, (b*b-1)*ratio }

// probitBetween takes the difference on the tail where both are small.
func probitBetween(a, b float64) float64 {
	switch {
	case a > 0:
		return 0.5 * (math.Erfc(a/math.Sqrt2) - math.Erfc(b/math.Sqrt2))
	case b < 0:
		return 0.5 * (math.Erfc(-b/math.Sqrt2) - math.Erfc(-a/math.Sqrt2))
	}
	return 0.5 * (math.Erf(b/math.Sqrt2) - math.Erf(a/math.Sqrt2))
}

// probitTailCell works in logarithms, far out where both ends lie on the
// same side or the cell is very thin.
func probitTailCell(a, b float64) cell {
	mirrored := b < 0 || (a < 0 && -a > b)
	lo, hi := a, b
	if mirrored {
		lo, hi = -b, -a
	}
	tail := logUpperNormal(lo)
	c := cell{logP: tail}
	if !math.IsInf(hi, 1) {
		c.logP += math.Log(-math.Expm1(logUpperNormal(hi) - tail))
	}
	if math.IsInf(c.logP, 0) || math.IsNaN(c.logP) {
		// Thinner than numbers resolve: density times width.
		mid := lo + (hi-lo)/2
		c.logP = logNormalDensity(mid) + math.Log(hi-lo)
	}
	if !math.IsInf(a, -1) {
		c.setA(a, math.Exp(logNormalDensity(a)-c.logP))
	}
	if !math.IsInf(b, 1) {
		c.setB(b, math.Exp(logNormalDensity(b)-c.logP))
	}
	return c
}

func logNormalDensity(x float64) float64 { return -x*x/2 + math.Log(invSqrt2Pi) }

// logUpperNormal is log(1-Φ(x)); beyond 25 by the asymptotic series
// (Abramowitz and Stegun 26.2.12).
func logUpperNormal(x float64) float64 {
	if x < 25 {
		return math.Log(0.5 * math.Erfc(x/math.Sqrt2))
	}
	v := 1 / (x * x)
	return logNormalDensity(x) - math.Log(x) + math.Log1p(-v*(1-v*(3-v*(15-105*v))))
}

// slopes are the derivatives of log P with respect to the linear predictor
// η (e, twice ee, thrice eee) and of log P, e and ee with respect to the two
// thresholds.
type slopes struct {
	e, ee, eee          float64
	la, lb              float64
	ea, eb              float64
	eea, eeb            float64
	laa, lbb, lab, logP float64
}

func (c cell) slopes() slopes {
	s := c.ra - c.rb
	q := c.db - c.da
	d := slopes{logP: c.logP, e: s, ee: q - s*s, la: -c.ra, lb: c.rb}
	d.ea, d.eb = c.da+s*c.ra, -c.db-s*c.rb
	d.eea = -c.ha + q*c.ra - 2*s*d.ea
	d.eeb = c.hb - q*c.rb - 2*s*d.eb
	d.eee = -(d.eea + d.eeb)
	d.laa, d.lbb, d.lab = -c.da-c.ra*c.ra, c.db-c.rb*c.rb, c.ra*c.rb
	return d
}

// curvature gives the first and second derivative of log P in η alone.
func (c cell) curvature() (e, ee float64) {
	s := c.ra - c.rb
	return s, c.db - c.da - s*s
}
