package portfolio

import (
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestNoShortcodeIsLeft: whatever is written, no two braces meet, and nothing
// but joiners is added.
func TestNoShortcodeIsLeft(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("{{{<%}/*> a`\n\u2060"))).Draw(t, "text")
		got := withoutShortcodes(text)
		if strings.Contains(got, "{{") {
			t.Errorf("%q holds the beginning of a shortcode", got)
		}
		if strings.ReplaceAll(got, "\u2060", "") != strings.ReplaceAll(text, "\u2060", "") {
			t.Errorf("%q became %q", text, got)
		}
	})
}
