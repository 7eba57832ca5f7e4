package stats

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/mat"
)

// Single is an Averaged of one fit, for models whose sd is not in question.
func Single(f *Fit) *Averaged { return &Averaged{Fits: []*Fit{f}, Weight: []float64{1}} }

// Best gives for each combination the probability that it is the largest of
// them, by drawing from the normal posterior at each node. Draws that tie
// share. The same seed gives the same answer.
func (a *Averaged) Best(of []Combination, draws int, seed uint64) ([]float64, error) {
	if len(of) == 0 || draws < 1 {
		return nil, fmt.Errorf("best of %d in %d draws: %w", len(of), draws, ErrNoData)
	}
	rng := rand.New(rand.NewPCG(seed, uint64(len(of))))
	wins := make([]float64, len(of))
	total := 0.0
	for node, f := range a.Fits {
		n := int(math.Round(a.Weight[node] * float64(draws)))
		if n == 0 {
			continue
		}
		mean, factor, err := f.posterior(of)
		if err != nil {
			return nil, err
		}
		for range n {
			countBest(draw(rng, mean, factor), wins)
		}
		total += float64(n)
	}
	for i := range wins {
		wins[i] /= total
	}
	return wins, nil
}

// posterior gives the mean of the combinations and a square root of their
// covariance; by eigenvectors, since a reference level has no variance.
func (f *Fit) posterior(of []Combination) ([]float64, *mat.Dense, error) {
	k := len(of)
	mean, cov := make([]float64, k), mat.NewSymDense(k, nil)
	for i := range of {
		mean[i] = f.Value(of[i])
		for j := i; j < k; j++ {
			cov.SetSym(i, j, f.Covariance(of[i], of[j]))
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(cov, true) {
		return nil, nil, fmt.Errorf("covariance of %d combinations: %w", k, ErrNotConverged)
	}
	var v mat.Dense
	eig.VectorsTo(&v)
	for j, l := range eig.Values(nil) {
		s := math.Sqrt(math.Max(0, l))
		for i := range k {
			v.Set(i, j, v.At(i, j)*s)
		}
	}
	return mean, &v, nil
}

func draw(rng *rand.Rand, mean []float64, factor *mat.Dense) []float64 {
	z := make([]float64, len(mean))
	for i := range z {
		z[i] = rng.NormFloat64()
	}
	out := make([]float64, len(mean))
	for i := range out {
		out[i] = mean[i]
		for j, v := range z {
			out[i] += factor.At(i, j) * v
		}
	}
	return out
}

func countBest(v, wins []float64) {
	top, ties := math.Inf(-1), 0.0
	for _, x := range v {
		switch {
		case x > top:
			top, ties = x, 1
		case x == top:
			ties++
		}
	}
	for i, x := range v {
		if x == top {
			wins[i] += 1 / ties
		}
	}
}

// Greater gives the probability that a exceeds b.
func (a *Averaged) Greater(x, y Combination) float64 {
	p := 0.0
	for i, f := range a.Fits {
		d := f.Value(x) - f.Value(y)
		v := f.Variance(x) + f.Variance(y) - 2*f.Covariance(x, y)
		switch {
		case v > 1e-300:
			p += a.Weight[i] * Probit.P(d/math.Sqrt(v))
		case d > 0:
			p += a.Weight[i]
		case d == 0:
			p += a.Weight[i] / 2
		}
	}
	return p
}
