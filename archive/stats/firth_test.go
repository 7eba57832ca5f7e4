package stats

import (
	"math"
	"testing"
)

// Endometrial cancer: G. Heinze and M. Schemper, Statistics in Medicine 21
// (2002) 2409-2419, where NV separates the outcome. Printed: 3.775, 2.929,
// -0.035, -2.604 (SE 1.489, 1.551, 0.040, 0.776); digits from brglm2 0.9.
func TestFirthEndometrial(t *testing.T) {
	b := Binomial{X: make([][]float64, 4), Link: Logit}
	for _, r := range table(t, "endometrial.csv") {
		b.K = append(b.K, number(t, r["HG"]))
		b.N = append(b.N, 1)
		b.X[0] = append(b.X[0], 1)
		for j, name := range []string{"NV", "PI", "EH"} {
			b.X[j+1] = append(b.X[j+1], number(t, r[name]))
		}
	}
	if _, err := FitBinomial(b); err == nil {
		t.Error("plain maximum likelihood must find the separation")
	}
	f, err := FitFirth(b)
	if err != nil {
		t.Fatal(err)
	}
	eachRel(t, "coefficient", f.Beta, []float64{3.77455971364711, 2.92927335319712, -0.0347517598704364, -2.60416392529368}, 1e-9)
	eachRel(t, "SE", f.SE, []float64{1.48869166343568, 1.55076372945305, 0.0395781473477635, 0.77601764250157}, 1e-8)
	near(t, "penalised logLik", f.Penalised, -24.0372678007, 1e-8)
	near(t, "logLik", f.LogLik, -28.2876973255, 1e-8)
	for k, want := range []Interval{{1.0825370844, 7.2092804982}, {0.609724436303206, 7.85463171387511}, {-0.124458720851728, 0.0404554731806038}, {-4.3651832, -1.2327211}} {
		got, err := f.Profile(k, Level95)
		if err != nil {
			t.Fatal(err)
		}
		rel(t, "profile lower", got.Lo, want.Lo, 1e-6)
		rel(t, "profile upper", got.Hi, want.Hi, 1e-6)
	}
}

// A saturated 2×2 table: Firth's estimate is that of each cell plus a half.
func TestFirthSaturated(t *testing.T) {
	f, err := FitFirth(Binomial{K: []float64{6, 8}, N: []float64{10, 8}, X: [][]float64{{1, 1}, {0, 1}}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", f.Beta[0], math.Log(6.5/4.5), 1e-9)
	near(t, "slope", f.Beta[1], math.Log(8.5/0.5)-math.Log(6.5/4.5), 1e-9)
}

// All keepers, one plate, perfectly separated: estimates stay finite.
func TestFirthFinite(t *testing.T) {
	for name, b := range map[string]Binomial{
		"all keepers": {K: []float64{1, 1, 1}, N: []float64{1, 1, 1}, X: [][]float64{{1, 1, 1}}},
		"one plate":   {K: []float64{1}, N: []float64{1}, X: [][]float64{{1}}},
		"separated":   {K: []float64{0, 0, 0, 1, 1, 1}, N: []float64{1, 1, 1, 1, 1, 1}, X: [][]float64{{1, 1, 1, 1, 1, 1}, {1, 2, 3, 40, 50, 60}}},
	} {
		f, err := FitFirth(b)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for _, v := range append(append([]float64(nil), f.Beta...), f.SE...) {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%s: %+v", name, f)
			}
		}
	}
}
