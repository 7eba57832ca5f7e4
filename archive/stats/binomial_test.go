package stats

import (
	"errors"
	"math"
	"testing"
)

func beetles(t testing.TB, link Link) Binomial {
	b := Binomial{X: make([][]float64, 2), Link: link}
	for _, r := range table(t, "beetle.csv") {
		b.K = append(b.K, number(t, r["killed"]))
		b.N = append(b.N, number(t, r["n"]))
		b.X[0] = append(b.X[0], 1)
		b.X[1] = append(b.X[1], number(t, r["dose"]))
	}
	return b
}

// Beetle mortality: C. I. Bliss, Annals of Applied Biology 22 (1935) 134-167,
// in A. J. Dobson, An Introduction to Generalized Linear Models, Table 7.2
// (logit -60.717, 34.270, deviance 11.23; probit -34.94, 19.73, 10.12);
// digits and LD50 from R 4.2.2 glm.
func TestBinomialBeetles(t *testing.T) {
	for _, c := range []struct {
		link       Link
		coef, se   []float64
		deviance   float64
		ld50, ldSE float64
	}{
		{Logit, []float64{-60.7174545616354, 34.270325734147}, []float64{5.18071146331919, 2.91214007062349}, 11.2322310974193, 1.77172096444757, 0.00385805531142929},
		{Probit, []float64{-34.93525891574, 19.7279342201097}, []float64{2.64791774212387, 1.48723500920651}, 10.1197581130015, 1.77085236223714, 0.00380333676844895},
	} {
		f, err := FitBinomial(beetles(t, c.link))
		if err != nil {
			t.Fatal(err)
		}
		name := "beetles " + c.link.String()
		// glm stops by the change in deviance; its probit carries nine digits.
		eachRel(t, name, f.Beta, c.coef, 1e-6)
		eachRel(t, name+" SE", f.SE, c.se, 1e-5)
		near(t, name+" deviance", f.Deviance, c.deviance, 1e-7)
		dose, se, err := f.DoseFor(c.link, 0.5, 0, 1)
		if err != nil {
			t.Fatal(err)
		}
		rel(t, name+" LD50", dose, c.ld50, 1e-7)
		rel(t, name+" LD50 SE", se, c.ldSE, 1e-5)
	}
}

// Tobacco budworm: Venables and Ripley (2002), 7.2, dose.p for the females,
// printed 2.231265 (0.2499089), 3.263587 (0.2297539), 4.29591 (0.2746874).
func TestDoseBudworm(t *testing.T) {
	b := Binomial{X: make([][]float64, 3), Link: Logit}
	for _, r := range table(t, "budworm.csv") {
		b.K = append(b.K, number(t, r["dead"]))
		b.N = append(b.N, number(t, r["of"]))
		b.X[0] = append(b.X[0], is(r["sex"] == "F"))
		b.X[1] = append(b.X[1], is(r["sex"] == "M"))
		b.X[2] = append(b.X[2], number(t, r["ldose"]))
	}
	f, err := FitBinomial(b)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range []float64{0.25, 0.5, 0.75} {
		dose, se, err := f.DoseFor(Logit, p, 0, 2)
		if err != nil {
			t.Fatal(err)
		}
		rel(t, "dose", dose, []float64{2.23126465686119, 3.26358740371571, 4.29591015057022}[i], 1e-6)
		rel(t, "dose SE", se, []float64{0.249908956530865, 0.229753893107763, 0.274687471285106}[i], 1e-5)
	}
	if _, _, err := f.DoseFor(Logit, 1, 0, 2); !errors.Is(err, ErrArgument) {
		t.Errorf("p = 1: %v", err)
	}
}

func TestBinomialRefusals(t *testing.T) {
	one := []float64{1, 1, 1, 1}
	for _, c := range []struct {
		name string
		b    Binomial
		want error
	}{
		{"empty", Binomial{}, ErrNoData},
		{"more successes than trials", Binomial{K: []float64{2}, N: []float64{1}, X: [][]float64{{1}}}, ErrArgument},
		{"separated", Binomial{K: []float64{0, 0, 1, 1}, N: one, X: [][]float64{one, {1, 2, 3, 4}}, Link: Logit}, ErrSeparated},
		{"separated, probit", Binomial{K: []float64{0, 0, 1, 1}, N: one, X: [][]float64{one, {1, 2, 3, 4}}}, ErrSeparated},
		{"all keepers", Binomial{K: one, N: one, X: [][]float64{one}, Link: Logit}, ErrSeparated},
		{"twin columns", Binomial{K: []float64{0, 1, 1, 0}, N: one, X: [][]float64{one, one}}, ErrCollinear},
		{"infinite", Binomial{K: []float64{0, 1}, N: one[:2], X: [][]float64{{1, math.Inf(1)}}}, ErrArgument},
	} {
		if _, err := FitBinomial(c.b); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	if _, err := FitBinomialMixed(Binomial{K: one, N: one}, []int{0, 0, 1, 1}, 2); !errors.Is(err, ErrGradeMissing) {
		t.Errorf("all keepers, mixed: %v", err)
	}
	if _, err := FitBinomialMixed(Binomial{K: one, N: one}, nil, 2); !errors.Is(err, ErrArgument) {
		t.Errorf("no groups: %v", err)
	}
}
