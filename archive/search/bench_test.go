package search

import (
	"fmt"
	"testing"
)

func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{1000, 10_000, 20_000} {
		docs := made(n)
		b.Run(fmt.Sprintf("plates=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				x, err := Build(docs, Options{})
				if err != nil {
					b.Fatal(err)
				}
				total := 0
				for _, f := range x.Files {
					total += len(f)
				}
				b.ReportMetric(float64(len(x.Files)), "files")
				b.ReportMetric(float64(total)/1e3, "kB")
				b.ReportMetric(float64(len(x.Files[DirectoryName])), "directory-B")
			}
		})
	}
}
