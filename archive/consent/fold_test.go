package consent

import (
	"slices"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

// TestFoldASCII: plain texts fold as all others do, only faster.
func TestFoldASCII(t *testing.T) {
	ascii := rapid.StringOf(rapid.RuneFrom(nil, asciiRange))
	rapid.Check(t, func(t *rapid.T) {
		s := ascii.Draw(t, "text")
		if fast, slow := foldASCII(s), foldAny(s); !slices.Equal(fast, slow) {
			t.Fatalf("%q: %q, %q", s, fast, slow)
		}
	})
	if got := fold("Ada O'Hara-Quill, 26-001"); !slices.Equal(got, []string{"ada", "o", "hara", "quill", "26", "001"}) {
		t.Errorf("%q", got)
	}
	if got := fold("Zoë Straße"); !slices.Equal(got, []string{"zoe", "strasse"}) {
		t.Errorf("%q", got)
	}
}

var asciiRange = &unicode.RangeTable{R16: []unicode.Range16{{Lo: 0, Hi: 0x7f, Stride: 1}}, LatinOffset: 1}
