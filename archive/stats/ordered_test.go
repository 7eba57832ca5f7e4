package stats

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

func wine(t testing.TB, link Link) Ordered {
	o := Ordered{Grades: 5, X: make([][]float64, 2), Groups: 9, Link: link}
	for _, r := range table(t, "wine.csv") {
		o.Y = append(o.Y, int(number(t, r["rating"]))-1)
		o.X[0] = append(o.X[0], is(r["temp"] == "warm"))
		o.X[1] = append(o.X[1], is(r["contact"] == "yes"))
		o.Group = append(o.Group, int(number(t, r["judge"]))-1)
	}
	return o
}

func joined(f *Fit) []float64 { return append(append([]float64(nil), f.Tau...), f.Beta...) }

func errorsOf(f *Fit) []float64 {
	cov := f.Cov()
	out := make([]float64, cov.SymmetricDim())
	for i := range out {
		out[i] = math.Sqrt(cov.At(i, i))
	}
	return out
}

// Wine bitterness: R. Randall, Biometrical Journal 31 (1989) 781-793; fits as
// printed in R. H. B. Christensen's vignette of ordinal, clm_article, section
// 4 (logit), digits and probit from ordinal 2022.11.16.
func TestOrderedWine(t *testing.T) {
	for _, c := range []struct {
		link     Link
		coef, se []float64
		logLik   float64
	}{
		{Logit,
			[]float64{-1.34438341126472, 1.25080879841654, 3.46688692647397, 5.00640420426996, 2.50310200789893, 1.52779765809506},
			[]float64{0.517102045324273, 0.4378802029616, 0.597760424608409, 0.730906343666974, 0.528680100824846, 0.476622629648298}, -86.4919233656491},
		{Probit,
			[]float64{-0.773262728758367, 0.73602148983944, 2.04468046385012, 2.94134498225715, 1.49937457839864, 0.867743538882857},
			[]float64{0.282862357058857, 0.249938818301151, 0.321821013936779, 0.387259280359505, 0.291790391089871, 0.26690700928174}, -85.7611483647766},
	} {
		f, err := FitOrdered(wine(t, c.link))
		if err != nil {
			t.Fatal(err)
		}
		name := "wine " + c.link.String()
		eachRel(t, name, joined(f), c.coef, 1e-6)
		eachRel(t, name+" SE", errorsOf(f), c.se, 1e-5)
		near(t, name+" logLik", f.LogLik, c.logLik, 1e-8)
	}
	f, err := FitOrdered(wine(t, Probit))
	if err != nil {
		t.Fatal(err)
	}
	upper := []float64{0.08001111304, 0.03064658596, 0.03210912305, 0.03511079064, 0.02096595749, 0.02583035152,
		0.06246941289, 0.0578867208, 0.0617277721, 0.04100978049, 0.03760406882, 0.103568765, 0.100307256, 0.06287648393,
		0.04987889589, 0.1499697502, 0.07489099044, 0.05611285147, 0.08514163233, 0.01225500783, 0.0712393516}
	cov, at := f.Cov(), 0
	for i := range 6 {
		for j := i; j < 6; j++ {
			rel(t, fmt.Sprintf("vcov %d %d", i+1, j+1), cov.At(i, j), upper[at], 1e-6)
			at++
		}
	}
}

// The same vignette prints 1.5098 to 3.5952 and 0.6158 to 2.4924, which R
// interpolates with a spline; reference.R finds the roots.
func TestOrderedProfile(t *testing.T) {
	var ref struct {
		Limits []float64 `json:"wine_profile"`
	}
	reference(t, &ref)
	for k, want := range []Interval{{1.509763, 3.595225}, {0.6157925, 2.492404}} {
		got, err := ProfileOrdered(wine(t, Logit), k, Level95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lower, spline", got.Lo, want.Lo, 5e-5)
		near(t, "upper, spline", got.Hi, want.Hi, 5e-5)
		near(t, "lower", got.Lo, ref.Limits[2*k], 1e-7)
		near(t, "upper", got.Hi, ref.Limits[2*k+1], 1e-7)
	}
}

// Copenhagen housing: M. Madsen, Scand. J. Stat. 3 (1976) 97-106; fits as in
// Venables and Ripley (2002), 7.3, digits from MASS 7.3-58.2 polr.
func TestOrderedHousing(t *testing.T) {
	level := map[string]int{"Low": 0, "Medium": 1, "High": 2}
	o := Ordered{Grades: 3, X: make([][]float64, 6)}
	for _, r := range table(t, "housing.csv") {
		o.Y = append(o.Y, level[r["Sat"]])
		o.Weight = append(o.Weight, number(t, r["Freq"]))
		for j, v := range []bool{r["Infl"] == "Medium", r["Infl"] == "High", r["Type"] == "Apartment",
			r["Type"] == "Atrium", r["Type"] == "Terrace", r["Cont"] == "High"} {
			o.X[j] = append(o.X[j], is(v))
		}
	}
	for _, c := range []struct {
		link     Link
		coef, se []float64
		deviance float64
	}{
		{Logit,
			[]float64{-0.496135138189194, 0.690708259253845, 0.566393737902046, 1.28881911036411, -0.572350002038299, -0.366186370686699, -1.09101465896256, 0.360284004566864},
			[]float64{0.124847242877259, 0.125471937849437, 0.104652781363876, 0.12715614456756, 0.119238008596448, 0.155173332018607, 0.151486018560762, 0.0955357950022601}, 3479.14929905895},
		{Probit,
			[]float64{-0.299827919547547, 0.4267208362162, 0.346422760645764, 0.782914641873771, -0.347536745223985, -0.217887532891855, -0.664173494083668, 0.222385828475714},
			[]float64{0.0761537322367848, 0.0764043361374474, 0.0641370592917628, 0.0764262027699847, 0.072290929272346, 0.0947660672350142, 0.0918000388835956, 0.0581227046995408}, 3479.68884256264},
	} {
		o.Link = c.link
		f, err := FitOrdered(o)
		if err != nil {
			t.Fatal(err)
		}
		name := "housing " + c.link.String()
		// polr stops by the change in deviance: its estimates carry about five digits.
		eachNear(t, name, joined(f), c.coef, 2e-6)
		eachRel(t, name+" SE", errorsOf(f), c.se, 1e-5)
		near(t, name+" deviance", -2*f.LogLik, c.deviance, 1e-6)
	}
}

// The gradient of the Laplace log-likelihood must be its derivative, at any
// point, sd and link, and so must the limit at sd = 0.
func TestLaplaceGradient(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 7))
	for _, link := range []Link{Probit, Logit} {
		d, err := wine(t, link).prepare()
		if err != nil {
			t.Fatal(err)
		}
		l := newLaplace(d)
		for range 20 {
			theta := d.begin()
			for i := range theta {
				theta[i] += 0.1 * rng.NormFloat64()
			}
			sd := 2 * rng.Float64()
			g, ok := l.fullGradient(append(append([]float64(nil), theta...), sd))
			if !ok {
				t.Fatal("no likelihood")
			}
			value := func(i int, h float64) float64 {
				psi := append(append([]float64(nil), theta...), sd)
				psi[i] += h
				e, _ := l.at(psi[:len(theta)], psi[len(theta)])
				return e.logLik
			}
			for i := range g {
				const h = 1e-4
				diff := (8*(value(i, h)-value(i, -h)) - (value(i, 2*h) - value(i, -2*h))) / (12 * h)
				near(t, fmt.Sprintf("%v derivative %d", link, i), g[i], diff, 1e-7)
			}
		}
		theta := d.begin()
		zero, _ := l.at(theta, 0)
		small, _ := l.at(theta, 1e-3)
		near(t, "slope in the variance at 0", zero.slopeV, (small.logLik-zero.logLik)/1e-6, 1e-3*math.Abs(zero.slopeV))
	}
}

// Far out, the cells must keep their digits: compared with each other across
// the point where the work moves to logarithms, and with the limits.
func TestCellsFarOut(t *testing.T) {
	inf := math.Inf(1)
	for _, link := range []Link{Probit, Logit} {
		for _, x := range []float64{-1e5, -400, -60, -38, -36, -8, 0, 8, 36, 38, 60, 400, 1e5} {
			for _, w := range []float64{1e-9, 1e-3, 1, inf} {
				c := link.cellAt(x, x+w)
				m := link.cellAt(-x-w, -x)
				s := c.slopes()
				for _, v := range []float64{c.logP, s.e, s.ee} {
					if math.IsNaN(v) || math.IsInf(v, 0) {
						t.Errorf("%v cell %g + %g: %+v", link, x, w, s)
					}
				}
				if math.Abs(c.logP-m.logP) > 1e-7*(1+math.Abs(c.logP)) {
					t.Errorf("%v cell %g + %g: %v, mirrored %v", link, x, w, c.logP, m.logP)
				}
				// A cell thinner than the density changes has no curvature to lose.
				if w > 1e-6 && s.ee > 1e-6*(1+x*x) {
					t.Errorf("%v cell %g + %g: curvature %v", link, x, w, s.ee)
				}
			}
		}
	}
	// R: pnorm(-40, log.p = TRUE), log(diff(pnorm(c(40, 41), lower = FALSE))).
	near(t, "log Φ(-40)", Probit.cellAt(-inf, -40).logP, -804.608442013754, 1e-9)
	near(t, "between 40 and 41", Probit.cellAt(40, 41).logP, -804.608442013754, 1e-9)
}

func TestOrderedRefusals(t *testing.T) {
	dose := []float64{1, 2, 3, 4, 5, 6, 7, 8}
	for _, c := range []struct {
		name string
		o    Ordered
		want error
	}{
		{"empty", Ordered{Grades: 3}, ErrNoData},
		{"one grade", Ordered{Grades: 1, Y: []int{0}}, ErrArgument},
		{"grade out of range", Ordered{Grades: 3, Y: []int{0, 1, 3}}, ErrArgument},
		{"no unders", Ordered{Grades: 3, Y: []int{1, 1, 2, 2}, X: [][]float64{dose[:4]}}, ErrGradeMissing},
		{"separated", Ordered{Grades: 3, Y: []int{0, 0, 0, 1, 1, 1, 2, 2}, X: [][]float64{dose}}, ErrSeparated},
		{"separated, logit", Ordered{Grades: 3, Link: Logit, Y: []int{0, 0, 0, 1, 1, 1, 2, 2}, X: [][]float64{dose}}, ErrSeparated},
		{"one light all over", Ordered{Grades: 3, Y: []int{0, 1, 2, 0, 1, 2, 2, 2}, X: [][]float64{{0, 0, 0, 0, 0, 0, 1, 1}}}, ErrSeparated},
		{"constant column", Ordered{Grades: 2, Y: []int{0, 1, 0, 1}, X: [][]float64{{2, 2, 2, 2}}}, ErrCollinear},
		{"twin columns", Ordered{Grades: 2, Y: []int{0, 1, 0, 1, 1, 0, 1, 0}, X: [][]float64{dose, dose}}, ErrCollinear},
		{"short column", Ordered{Grades: 2, Y: []int{0, 1}, X: [][]float64{{1}}}, ErrArgument},
		{"NaN", Ordered{Grades: 2, Y: []int{0, 1}, X: [][]float64{{1, math.NaN()}}}, ErrArgument},
		{"negative weight", Ordered{Grades: 2, Y: []int{0, 1}, Weight: []float64{1, -1}}, ErrArgument},
	} {
		if f, err := FitOrdered(c.o); !errors.Is(err, c.want) {
			t.Errorf("%s: %v (fit %v), want %v", c.name, err, f, c.want)
		}
	}
	if _, err := FitMixed(Ordered{Grades: 2, Y: []int{0, 1}}); !errors.Is(err, ErrArgument) {
		t.Errorf("no groups: %v", err)
	}
	if _, err := FitMixed(Ordered{Grades: 2, Y: []int{0, 1}, Group: []int{0, 5}, Groups: 2}); !errors.Is(err, ErrArgument) {
		t.Errorf("group out of range: %v", err)
	}
}

// The thresholds alone fit the observed shares exactly.
func TestThresholdsOnly(t *testing.T) {
	f, err := FitOrdered(Ordered{Grades: 3, Y: []int{0, 1, 1, 2, 2, 2, 2, 1, 1, 0}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "P(first)", Probit.P(f.Tau[0]), 0.2, 1e-10)
	near(t, "P(first or second)", Probit.P(f.Tau[1]), 0.6, 1e-10)
}
