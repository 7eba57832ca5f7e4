package search

import (
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func TestFold(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Zoë Dąbrowski", "zoe dabrowski"},
		{"MÜLLER", "muller"},
		{"Zoe\u0308", "zoe"},
		{"Straße, STRASSE, STRAẞE", "strasse, strasse, strasse"},
		{"Søren Łucja Æbelø Þór", "soren lucja aebelo thor"},
		{"İstanbul ısı", "istanbul isi"},
		{"ΟΔΟΣ Οδός", "οδοσ οδοσ"},
		{"ﬁnish ½ №7 ⅷ", "finish 1⁄2 no7 viii"},
		{"ＡＢＣ１２", "abc12"},
		{"Пётр Й", "петр и"},
		{"O’Hara’s non‑breaking", "o'hara's non-breaking"},
		{"", ""},
	} {
		if got := Fold(c.text); got != c.want {
			t.Errorf("Fold(%q) = %q, want %q", c.text, got, c.want)
		}
	}
}

func TestTerms(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"Lock-keeper's lamp, f/8", "8 f keeper lamp lock lockkeepers s keepers"},
		{"O’Hara", "hara o ohara"},
		{"- 'tis half- done-", "done half tis"},
		{"half--plate", "half plate"},
		{"ambro-type, tin-type-er", "ambro ambrotype er tin tintypeer type"},
		{"C-2026-03", "03 2026 c c202603"},
		{"…", ""},
	} {
		got := map[string]bool{}
		terms(c.text, func(term string) { got[term] = true })
		want := map[string]bool{}
		for _, w := range strings.Fields(c.want) {
			want[w] = true
		}
		for w := range got {
			if !want[w] {
				t.Errorf("%q gives %q, unexpected", c.text, w)
			}
		}
		for w := range want {
			if !got[w] {
				t.Errorf("%q does not give %q", c.text, w)
			}
		}
	}
}

func TestFoldIsIdempotent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		once := Fold(rapid.String().Draw(t, "text"))
		if twice := Fold(once); twice != once {
			t.Errorf("%q becomes %q", once, twice)
		}
	})
}

type folded struct {
	Folded string   `json:"folded"`
	Words  []string `json:"words"`
}

// Go and JavaScript fold every letter, mark and number the same, alone and
// next to others.
func TestFoldAgreesWithScript(t *testing.T) {
	s := startScript(t)
	var texts []string
	for r := range rune(unicode.MaxRune + 1) {
		if unicode.In(r, unicode.L, unicode.M, unicode.N, unicode.P) {
			texts = append(texts, string(r), "x"+string(r)+"Y")
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		texts = append(texts, rapid.StringOf(rapid.RuneFrom(nil, unicode.L, unicode.M, unicode.P)).Draw(t, "text"))
	})
	if len(texts) < 250_000 {
		t.Fatalf("only %d texts compared", len(texts))
	}
	wrong := 0
	for part := range slices.Chunk(texts, 5000) {
		var got []folded
		s.ask(t, map[string]any{"fold": part}, &got)
		for i, g := range got {
			want := Fold(part[i])
			distinct := []string{}
			for _, w := range Words(want) {
				if !slices.Contains(distinct, w) {
					distinct = append(distinct, w)
				}
			}
			if g.Folded != want || !slices.Equal(g.Words, distinct) {
				if wrong++; wrong < 10 {
					t.Errorf("%+q: script %+q %+q, Go %+q %+q", part[i], g.Folded, g.Words, want, distinct)
				}
			}
		}
	}
	if wrong > 0 {
		t.Errorf("%d of %d texts differ", wrong, len(texts))
	}
}
