package stats

import (
	"fmt"
	"math/rand/v2"
	"testing"
)

// simulated draws plates from a known truth: 60 batches, three lights.
func simulated(plates int) Ordered {
	rng := rand.New(rand.NewPCG(uint64(plates), 60))
	const batches = 60
	o := Ordered{Grades: 3, X: make([][]float64, 3), Groups: batches}
	effect := make([]float64, batches)
	for g := range effect {
		effect[g] = 0.7 * rng.NormFloat64()
	}
	lights := []float64{0, 0.6, -0.4}
	for range plates {
		g, light := rng.IntN(batches), rng.IntN(3)
		dose := 8 + 0.6*rng.NormFloat64() - effect[g]/2 - lights[light]/2
		latent := 2*(dose-8) + effect[g] + lights[light] + rng.NormFloat64()
		y := 1
		if latent < -1 {
			y = 0
		} else if latent > 1 {
			y = 2
		}
		o.Y = append(o.Y, y)
		o.X[0] = append(o.X[0], dose)
		o.X[1] = append(o.X[1], is(light == 1))
		o.X[2] = append(o.X[2], is(light == 2))
		o.Group = append(o.Group, g)
	}
	return o
}

// The time per plate must stay the same from a thousand to a hundred
// thousand plates.
func BenchmarkFitMixed(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		o := simulated(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := FitMixed(o); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/plate")
		})
	}
}

func BenchmarkAverageOverSD(b *testing.B) {
	for _, n := range []int{1000, 10000} {
		o := simulated(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := AverageOverSD(o); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
