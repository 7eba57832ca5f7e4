package phrase

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// found gives "id:words as written" for each place.
func found(m *Matcher, text string) []string {
	var w Words
	w.Cut([]byte(text))
	var out []string
	m.Find(&w, func(ids []int, first, last int) {
		for _, id := range ids {
			out = append(out, fmt.Sprintf("%d:%s", id, text[w.Start[first]:w.End[last]]))
		}
	})
	return out
}

func TestFold(t *testing.T) {
	for text, want := range map[string]string{
		"Zoë O’Hara":             "zoe o hara",
		"GROẞ Straße":            "gross strasse",
		"Łukasz Ørsted-Æsop":     "lukasz orsted aesop",
		"a\u00adb\u200bc":        "abc",
		"e\u0301te\u0301":        "ete",
		"№ 5 ﬁn":                 "no 5 fin",
		"MargaretHale_2":         "margarethale 2",
		"":                       "",
		" -- ":                   "",
		"Ёлка":                   "елка",
		"line\nbreak\ttab":       "line break tab",
		"\xff\xfebroken\x80utf8": "broken utf8",
	} {
		if got := strings.Join(Fold(text), " "); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

func TestFind(t *testing.T) {
	m := NewMatcher()
	m.Forbid("Rose Hale", 1)
	m.Forbid("Zoë Lindqvist", 2)
	m.Forbid("ann.hale@example.org", 3)
	m.Forbid("Hale", 4)
	m.Forbid("rose  hale", 5) // the same words
	m.Forbid(" – ", 6)        // no word
	m.Allow("Rose Hale-Smith")
	m.Build()
	for text, want := range map[string][]string{
		"Portrait of ROSE HALE, 1860":   {"1:ROSE HALE", "5:ROSE HALE", "4:HALE"},
		"/plates/rose-hale/":            {"1:rose-hale", "5:rose-hale", "4:hale"},
		"with Rose Hale-Smith, seated":  nil,
		"Rose Hale. Smith came later":   nil, // the words are those of the allowed name
		"Zoe\u0308 Lindqvist":           {"2:Zoe\u0308 Lindqvist"},
		"zoe lindqvist":                 {"2:zoe lindqvist"},
		"mail ann.hale@example.org now": {"4:hale", "3:ann.hale@example.org"},
		"Rose Halep":                    nil,
		"Primrose Hale's":               {"4:Hale"},
		"Rose":                          nil,
		"":                              nil,
	} {
		got := found(m, text)
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// An allowed text that holds the phrase twice, or holds it at its end, masks it
// only where the whole of it stands.
func TestMask(t *testing.T) {
	m := NewMatcher()
	m.Forbid("26-013", 1)
	m.Allow("26-013-b")
	m.Allow("set 26-013")
	m.Build()
	for text, want := range map[string]int{
		"26-013-b": 0, "set 26-013": 0, "26-013": 1, "26-013 c": 1, "set 26-013, 26-013": 1, "x 26-013-b 26-013": 1,
	} {
		if got := found(m, text); len(got) != want {
			t.Errorf("%q: %q, want %d", text, got, want)
		}
	}
}

func TestQuotes(t *testing.T) {
	const note = "She cried when she saw her grandfather's hands come up in the fixer, and paid twice."
	const stock = "Silver nitrate stains the skin and clothes: wear gloves and goggles at the tank."
	q := NewQuotes()
	if !q.Forbid(note, 7) || q.Forbid("too short to quote", 8) || !q.Forbid("From the book: "+stock, 9) {
		t.Error("wrong lengths")
	}
	q.Allow(stock)
	for text, want := range map[string]string{
		note:                           "7:0-7",
		"Xx. " + strings.ToUpper(note): "7:1-8",
		"she cried when she saw her grandfather's":      "7:0-7", // the apostrophe parts a word
		"she cried when she saw her grandfather":        "",
		stock:                                           "",
		"From the book: silver nitrate stains the skin": "9:0-7",
		note + " " + note:                               "7:0-7 7:17-24",
	} {
		var w Words
		w.Cut([]byte(text))
		var got []string
		q.Find(&w, func(id, first, last int) { got = append(got, fmt.Sprintf("%d:%d-%d", id, first, last)) })
		if strings.Join(got, " ") != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}

// The matcher against a plain search through folded words.
func TestFindAgainstPlainSearch(t *testing.T) {
	word := rapid.SampledFrom([]string{"rose", "Hale", "zoë", "26", "013", "b"})
	phrase := rapid.Custom(func(t *rapid.T) string {
		return strings.Join(rapid.SliceOfN(word, 1, 3).Draw(t, "words"), rapid.SampledFrom([]string{" ", "-", "\u00a0"}).Draw(t, "sign"))
	})
	rapid.Check(t, func(rt *rapid.T) {
		phrases := rapid.SliceOfN(phrase, 1, 6).Draw(rt, "phrases")
		text := strings.Join(rapid.SliceOfN(word, 0, 30).Draw(rt, "text"), " ")
		m := NewMatcher()
		for i, p := range phrases {
			m.Forbid(p, i)
		}
		m.Build()
		padded := " " + strings.Join(Fold(text), " ") + " "
		counts := map[string]int{}
		for _, f := range found(m, text) {
			id, _, _ := strings.Cut(f, ":")
			counts[id]++
		}
		for i, p := range phrases {
			want := " " + strings.Join(Fold(p), " ") + " "
			n := 0
			for at := range padded {
				if strings.HasPrefix(padded[at:], want) {
					n++
				}
			}
			if counts[fmt.Sprint(i)] != n {
				rt.Fatalf("%q in %q: %d times, want %d", p, text, counts[fmt.Sprint(i)], n)
			}
		}
	})
}

func TestSet(t *testing.T) {
	var s Set
	var w Words
	w.Cut([]byte("rose"))
	if s.Any(&w) {
		t.Error("the empty set has a word")
	}
	s.Add("Zoë Lindqvist")
	s.Add("May")
	for text, want := range map[string]bool{"12 may 2026": true, "zoe": true, "Mayor": false, "": false, "ZOË!": true, "lind qvist": false} {
		if w.Cut([]byte(text)); s.Any(&w) != want {
			t.Errorf("%q: %v", text, !want)
		}
	}
}

func FuzzCut(f *testing.F) {
	f.Add([]byte("Zoë O’Hara \xff ﬁn"))
	f.Fuzz(func(t *testing.T, text []byte) {
		var w Words
		w.Cut(text)
		if len(w.Hash) != len(w.Start) || len(w.Hash) != len(w.End) {
			t.Fatal("lengths differ")
		}
		folded := Fold(string(text))
		if len(folded) != len(w.Hash) {
			t.Fatalf("%d words folded, %d cut", len(folded), len(w.Hash))
		}
		for i, f := range folded {
			if hashWord(f) != w.Hash[i] {
				t.Fatalf("word %d: %q", i, f)
			}
			if w.Start[i] >= w.End[i] || i > 0 && w.Start[i] < w.Start[i-1] || int(w.End[i]) > len(text) {
				t.Fatalf("word %d: from %d to %d", i, w.Start[i], w.End[i])
			}
		}
	})
}

func BenchmarkFind(b *testing.B) {
	m, q := NewMatcher(), NewQuotes()
	for i := range 10_000 {
		m.Forbid(fmt.Sprintf("Given%d Family%d", i, i*7%9973), i)
		q.Forbid(fmt.Sprintf("note %d says that this plate was poured too thin and developed for too long in the heat", i), i)
	}
	m.Build()
	text := []byte(strings.Repeat("The plate shows a lock-keeper with his dog, half plate, tin. Given12 Family9 stood by. ", 12_000))
	b.SetBytes(int64(len(text)))
	var w Words
	for b.Loop() {
		w.Cut(text)
		m.Find(&w, func([]int, int, int) {})
		q.Find(&w, func(int, int, int) {})
	}
}
