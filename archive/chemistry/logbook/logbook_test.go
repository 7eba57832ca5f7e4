package logbook

import (
	"slices"
	"strings"
	"testing"
)

func TestFind(t *testing.T) {
	for word, want := range map[string]Action{
		"filtered": Filtered, "Topped up": ToppedUp, "topped-up": ToppedUp, "topped_up": ToppedUp, "boiled": Evaporated, "BOILED  DOWN": Evaporated,
		"neutralized": Neutralised, "titrated": Measured, "retired": Discarded,
	} {
		if m, ok := Find(word); !ok || m.Action != want {
			t.Errorf("%q = %q, %v; want %q", word, m.Action, ok, want)
		}
	}
	for _, word := range []string{"", "sung", "filter"} {
		if m, ok := Find(word); ok {
			t.Errorf("%q = %q", word, m.Action)
		}
	}
}

func TestVocabulary(t *testing.T) {
	seen := map[string]Action{}
	for _, m := range All() {
		if m.Means == "" {
			t.Errorf("%s has no meaning", m.Action)
		}
		for _, w := range append([]string{string(m.Action)}, m.Synonyms...) {
			if other, ok := seen[fold(w)]; ok {
				t.Errorf("%q is %s and %s", w, other, m.Action)
			}
			seen[fold(w)] = m.Action
		}
	}
	if s := Slugs(); !slices.IsSorted(s) {
		t.Errorf("not in order: %q", s)
	}
}

// TestCautions: the dangerous words never come without their caution.
func TestCautions(t *testing.T) {
	for word, part := range map[string]string{
		"neutralised": "Never ammonia", "evaporated": "never to dryness", "boiled": "no flame", "sunned": "not with ammonia",
		"discarded": "licensed", "acidified": "must not be warmed", "thinned": "No flame",
	} {
		m, ok := Find(word)
		if !ok || !strings.Contains(m.Caution, part) {
			t.Errorf("%s: caution %q lacks %q", word, m.Caution, part)
		}
	}
}
