package analysis

import (
	"context"
	"fmt"
	"math/rand/v2"
	"runtime"
	"testing"

	"sandarac/archive/record"
)

// sized draws an archive of 60 batches and about so many plates.
func sized(plates int) *record.Archive {
	tr := usualTruth()
	tr.batches, tr.perBatch = 60, plates/60
	tr.light = map[string]float64{"north": 0, "south": 0.8, "lamps": -0.5}
	a, _ := tr.draw(rand.New(rand.NewPCG(uint64(plates), 1)))
	return a
}

// The time per plate must stay the same from a thousand plates to a hundred
// thousand, and 10,000 plates must stay under 300 MB.
func BenchmarkAnalyse(b *testing.B) {
	for _, n := range []int{1000, 10000, 100000} {
		a := sized(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Analyse(context.Background(), a, date(1200)); err != nil {
					b.Fatal(err)
				}
			}
			var m runtime.MemStats
			runtime.ReadMemStats(&m)
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/plate")
			b.ReportMetric(float64(m.Sys)/1e6, "MB-of-process")
		})
	}
}

func BenchmarkExpose(b *testing.B) {
	a := sized(10000)
	q := ask(1200)
	for b.Loop() {
		if _, err := Expose(context.Background(), a, q); err != nil {
			b.Fatal(err)
		}
	}
}
