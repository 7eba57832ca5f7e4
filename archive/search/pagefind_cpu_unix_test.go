//go:build unix

package search

import (
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// BenchmarkBuildAgainstPagefind reports the seconds of CPU that either index of
// 10,000 plates takes to be made and written, and ours in per cent of theirs,
// of which 20 is the bound. Pagefind's Node script is not counted.
func BenchmarkBuildAgainstPagefind(b *testing.B) {
	docs := made(10_000)
	for b.Loop() {
		start := cpu(b)
		x, err := Build(docs, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := x.WriteTo(filepath.Join(b.TempDir(), "index")); err != nil {
			b.Fatal(err)
		}
		ours := (cpu(b) - start).Seconds()
		_, theirs := buildPagefind(b, docs)
		b.ReportMetric(ours, "ours-s")
		b.ReportMetric(theirs, "pagefind-s")
		b.ReportMetric(100*ours/theirs, "percent")
	}
}

// cpu is what this process has taken of the processors so far.
func cpu(t testing.TB) time.Duration {
	t.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		t.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
