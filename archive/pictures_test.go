package archive

import (
	"testing"

	"sandarac/archive/picture"
	"sandarac/archive/record"
)

// A studio that wants AVIF of a program that has none is told, not refused.
func TestAVIFIsMissed(t *testing.T) {
	for _, on := range []bool{false, true} {
		b := &build{out: &Built{Looked: Looked{Archive: &record.Archive{Studio: &record.Studio{AVIF: on}}}}}
		b.canAVIF()
		if missed := on && !picture.CanAVIF; (len(b.out.Findings) == 1) != missed || missed && b.out.Findings[0].Code != "no-avif" {
			t.Errorf("avif %v: %+v", on, b.out.Findings)
		}
	}
}
