package bench

import (
	"context"
	"fmt"
	"testing"
)

// BenchmarkEntry is one plate logged in an archive of a thousand.
func BenchmarkEntry(b *testing.B) {
	root := rooms(b)
	for n := range 1000 {
		put(b, root, fmt.Sprintf("2025/%04d.md", n), fmt.Sprintf("---\nplate: old-%d\nmade: 2025-05-%02d\nbatches: {bath: bath-1}\nsitters: []\n---\n", n, 1+n%28))
	}
	l := book(b, root)
	n := 0
	for b.Loop() {
		n++
		if _, err := l.Plate(context.Background(), plateEntry(entryID(n), "x", nil)); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkState is what a phone asks for after each plate, in an archive of ten
// thousand, when something was written.
func BenchmarkState(b *testing.B) {
	root := rooms(b)
	for n := range 10_000 {
		put(b, root, fmt.Sprintf("2025/%05d.md", n), fmt.Sprintf("---\nplate: old-%d\nmade: 2025-05-%02d\nsupport: tin\nformat: half\nexposure: {seconds: 8, stop: 4}\nbatches: {collodion: collodion-1}\nsitters: []\n---\n", n, 1+n%28))
	}
	l := book(b, root)
	for b.Loop() {
		l.Touch()
		if _, err := l.State(context.Background()); err != nil {
			b.Fatal(err)
		}
	}
}
