package stats

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
)

// aimOf is the dose at which the middle grade of group g is likeliest.
func aimOf(columns, g int) (num, den Combination) {
	num = Combination{Tau: []float64{0.5, 0.5}, Group: g, Effect: -1}
	den = Combination{Beta: make([]float64, columns)}
	den.Beta[0] = 1
	return num, den
}

// The delta interval of an aim dose from the inverse joint information,
// against a direct computation from a dense matrix.
func TestJointCovarianceDense(t *testing.T) {
	var ref struct{ Ordered []orderedCase }
	reference(t, &ref)
	o := ref.Ordered[1].data()
	m, err := FitMixed(o)
	if err != nil {
		t.Fatal(err)
	}
	// The joint log-likelihood in (tau, beta, effects) by central differences.
	q, groups := len(o.X)+2, o.Groups
	at := append(joined(&m.Fit), m.Modes...)
	joint := func(v []float64) float64 {
		sum := 0.0
		for i, y := range o.Y {
			eta := v[q+o.Group[i]]
			for k := range o.X {
				eta += v[2+k] * o.X[k][i]
			}
			lo, hi := math.Inf(-1), math.Inf(1)
			if y > 0 {
				lo = v[y-1] - eta
			}
			if y < 2 {
				hi = v[y] - eta
			}
			sum += math.Log(Probit.P(hi) - Probit.P(lo))
		}
		for _, b := range v[q:] {
			sum -= b * b / (2 * m.SD * m.SD)
		}
		return sum
	}
	n := q + groups
	h := make([]float64, n*n)
	const e = 2e-3
	shift := func(i, j int, a, b float64) float64 {
		v := append([]float64(nil), at...)
		v[i] += a
		v[j] += b
		return joint(v)
	}
	for i := range n {
		for j := range n {
			h[i*n+j] = -(shift(i, j, e, e) - shift(i, j, e, -e) - shift(i, j, -e, e) + shift(i, j, -e, -e)) / (4 * e * e)
		}
	}
	inv, _, err := inverse(h, n)
	if err != nil {
		t.Fatal(err)
	}
	cov := m.Cov()
	for i := range q {
		for j := range q {
			near(t, "covariance", cov.At(i, j), inv.At(i, j), 2e-3*math.Sqrt(inv.At(i, i)*inv.At(j, j)))
		}
	}
	for g := range groups {
		b := Combination{Group: g, Effect: 1}
		rel(t, "variance of a mode", m.Variance(b), inv.At(q+g, q+g), 2e-3)
		c := Combination{Group: (g + 1) % groups, Effect: 1}
		near(t, "covariance of modes", m.Covariance(b, c), inv.At(q+g, q+(g+1)%groups), 2e-3*m.Variance(b))
	}
	// The aim of the batch with most plates, its gradient taken by hand.
	num, den := aimOf(len(o.X), 5)
	aim, se, err := m.Ratio(num, den)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "aim", aim, ((m.Tau[0]+m.Tau[1])/2-m.Modes[5])/m.Beta[0], 1e-12)
	g := make([]float64, n)
	g[0], g[1] = 0.5/m.Beta[0], 0.5/m.Beta[0]
	g[2], g[q+5] = -aim/m.Beta[0], -1/m.Beta[0]
	v := 0.0
	for i := range n {
		for j := range n {
			v += g[i] * inv.At(i, j) * g[j]
		}
	}
	rel(t, "aim SE", se, math.Sqrt(v), 2e-3)
}

// Nine nodes must give what two hundred give, for few groups and for many.
func TestAverageNodes(t *testing.T) {
	var ref struct{ Ordered []orderedCase }
	reference(t, &ref)
	for _, c := range ref.Ordered[:6] {
		o := c.data()
		a, err := AverageOverSD(o)
		if err != nil {
			t.Fatalf("%s: %v", c.Name, err)
		}
		fine := fineAverage(t, o)
		sum := 0.0
		for _, w := range a.Weight {
			sum += w
		}
		near(t, c.Name+": weights", sum, 1, 1e-12)
		for _, g := range []int{0, o.Groups - 1, NewGroup} {
			num, den := aimOf(len(o.X), g)
			got, err := a.Ratio(num, den, Level95)
			if err != nil {
				t.Fatal(err)
			}
			want, _ := fine.Ratio(num, den, Level95)
			// One hundredth of the interval, far below 2 % of an EI.
			near(t, c.Name+": lower", got.Lo, want.Lo, 0.01*want.Width())
			near(t, c.Name+": upper", got.Hi, want.Hi, 0.01*want.Width())
		}
	}
}

// fineAverage is AverageOverSD by brute force: 200 nodes up to sd 12.
func fineAverage(t *testing.T, o Ordered) *Averaged {
	d, err := o.prepare()
	if err != nil {
		t.Fatal(err)
	}
	s := &sdPosterior{l: newLaplace(d), scale: d.link.scale()}
	if s.theta, _, err = s.l.climb(d.begin(), 0, 1e-6); err != nil {
		t.Fatal(err)
	}
	const nodes = 200
	x, w := make([]float64, nodes), make([]float64, nodes)
	quad.Legendre{}.FixedLocations(x, w, 0, 8*s.scale)
	a := &Averaged{Weight: make([]float64, nodes)}
	top, total := math.Inf(-1), 0.0
	for i, sd := range x {
		f, err := s.fit(sd)
		if err != nil {
			t.Fatal(err)
		}
		a.Fits = append(a.Fits, f)
		a.Weight[i] = math.Log(w[i]) + s.logPosterior(f)
		top = math.Max(top, a.Weight[i])
	}
	for i, v := range a.Weight {
		a.Weight[i] = math.Exp(v - top)
		total += a.Weight[i]
	}
	for i := range a.Weight {
		a.Weight[i] /= total
	}
	return a
}

// An unseen batch is known less well than a seen one, and the averaged
// interval is no narrower than the plugged-in one when batches are few.
func TestAverageWidens(t *testing.T) {
	var ref struct{ Ordered []orderedCase }
	reference(t, &ref)
	o := ref.Ordered[0].data()
	m, err := FitMixed(o)
	if err != nil {
		t.Fatal(err)
	}
	a, err := AverageOverSD(o)
	if err != nil {
		t.Fatal(err)
	}
	num, den := aimOf(len(o.X), 0)
	seen, _ := a.Ratio(num, den, Level95)
	num.Group = NewGroup
	unseen, _ := a.Ratio(num, den, Level95)
	if unseen.Width() <= seen.Width() {
		t.Errorf("unseen %v, seen %v", unseen, seen)
	}
	_, se, _ := m.Ratio(num, den)
	if unseen.Width() < 2*1.96*se {
		t.Errorf("averaged %v, plugged in %v", unseen.Width(), 2*1.96*se)
	}
}

func TestBestAndGreater(t *testing.T) {
	var ref struct{ Ordered []orderedCase }
	reference(t, &ref)
	o := ref.Ordered[3].data() // large differences
	a, err := AverageOverSD(o)
	if err != nil {
		t.Fatal(err)
	}
	var of []Combination
	for g := range o.Groups {
		of = append(of, Combination{Group: g, Effect: 1})
	}
	p, err := a.Best(of, 4000, 1)
	if err != nil {
		t.Fatal(err)
	}
	again, _ := a.Best(of, 4000, 1)
	sum := 0.0
	for i := range p {
		sum += p[i]
		if p[i] != again[i] {
			t.Error("the same seed gave another answer")
		}
	}
	near(t, "sum", sum, 1, 1e-12)
	// Of two, the probability of being best is that of being greater.
	two, _ := a.Best(of[:2], 40000, 1)
	near(t, "best of two", two[0], a.Greater(of[0], of[1]), 0.01)
	near(t, "greater and less", a.Greater(of[0], of[1])+a.Greater(of[1], of[0]), 1, 1e-12)
	near(t, "against itself", a.Greater(of[0], of[0]), 0.5, 1e-12)
	if _, err := a.Best(nil, 10, 1); !errors.Is(err, ErrNoData) {
		t.Errorf("nothing to compare: %v", err)
	}
}

// E. C. Fieller's interval holds the ratio, agrees with the delta method when
// the denominator is sharp, and has no end when it may be zero.
func TestRatioAndFieller(t *testing.T) {
	r, se, err := Ratio(6, 3, 0.01, 0.0001, 0.0002)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", r, 2, 1e-15)
	near(t, "SE", se, math.Sqrt((0.01-2*2*0.0002+4*0.0001)/9), 1e-15)
	f, err := Fieller(6, 3, 0.01, 0.0001, 0.0002, Level95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Fieller lower", f.Lo, r-1.96*se, 2e-4)
	near(t, "Fieller upper", f.Hi, r+1.96*se, 2e-4)
	if _, err := Fieller(6, 3, 0.01, 4, 0, Level95); !errors.Is(err, ErrUnbounded) {
		t.Errorf("denominator near zero: %v", err)
	}
	if _, _, err := Ratio(1, 0, 1, 1, 0); !errors.Is(err, ErrArgument) {
		t.Errorf("division by zero: %v", err)
	}
}
