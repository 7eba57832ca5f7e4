package search

import (
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"
)

func write(t testing.TB, docs []Doc, opt Options) (dir string) {
	t.Helper()
	x, err := Build(docs, opt)
	if err != nil {
		t.Fatal(err)
	}
	dir = t.TempDir()
	if err := x.WriteTo(dir); err != nil {
		t.Fatal(err)
	}
	return dir
}

// randomQuery asks with words of the catalogue, cut short, mistyped or not,
// and with filters.
func randomQuery(r *rand.Rand, docs []Doc) query {
	q := query{Filters: map[string][]string{}}
	var words []string
	d := pick(r, docs)
	for range r.IntN(3) {
		own := Words(Fold(pick(r, d.Fields).Text))
		if r.IntN(6) == 0 {
			d = pick(r, docs)
		}
		if len(own) == 0 {
			continue
		}
		w := []rune(pick(r, own))
		switch r.IntN(4) {
		case 0:
			w = w[:1+r.IntN(len(w))]
		case 1:
			w = typo(w, r.IntN(4), r.IntN(len(w)), 'a'+rune(r.IntN(26)))
		}
		words = append(words, string(w))
	}
	q.Text = strings.Join(words, " ")
	for _, facet := range []string{"format", "support", "light", "batch", "year", "tag"} {
		if r.IntN(5) == 0 {
			for range 1 + r.IntN(3) {
				q.Filters[facet] = append(q.Filters[facet], pick(r, pick(r, docs).Facets[facet]))
			}
		}
	}
	if r.IntN(20) == 0 {
		q.Filters["year"] = []string{"1851"}
	}
	return q
}

// typo makes one edit at a place: 0 adds, 1 leaves out, 2 replaces, 3 swaps.
func typo(word []rune, kind, place int, letter rune) []rune {
	w := slices.Clone(word)
	switch kind {
	case 0:
		return slices.Insert(w, place, letter)
	case 1:
		return slices.Delete(w, place, place+1)
	case 2:
		w[place] = letter
	case 3:
		if place+1 < len(w) {
			w[place], w[place+1] = w[place+1], w[place]
		}
	}
	return w
}

func TestEngineAgainstReference(t *testing.T) {
	s := startScript(t)
	docs := made(600)
	ref := newReference(docs)
	r := rand.New(rand.NewPCG(8, 14))
	queries := []query{{}, {Text: "  ,; "}, {Text: "a"}, {Text: strings.Repeat("bellows apron hat ", 9)}, {Text: "constructor __proto__"},
		{Text: "Lock-Keeper's"}, {Text: "OBRANNOCK"}, {Text: "o’brannock"}, {Filters: map[string][]string{"nonsense": {"x"}, "tag": {}}}}
	for range 500 {
		queries = append(queries, randomQuery(r, docs))
	}
	for _, opt := range []Options{{}, {ShardBytes: 300, CardsPerShard: 7, CardGroup: 3}} {
		near := 0
		for i, got := range s.answers(t, write(t, docs, opt), queries) {
			q := queries[i]
			if len(q.Filters["nonsense"]) > 0 { // an unknown facet filters nothing
				q.Filters = nil
			}
			want := ref.answer(q)
			near += len(want.Near)
			sameAnswer(t, q, got, want)
		}
		if near < 50 {
			t.Errorf("only %d misspellings among the queries; the test has lost its point", near)
		}
	}
}

type errorer interface{ Errorf(format string, a ...any) }

func sameAnswer(t errorer, q query, got, want answer) {
	if !slices.Equal(got.URLs, want.URLs) {
		t.Errorf("%+v: %d plates, reference %d\n%.200q\n%.200q", q, len(got.URLs), len(want.URLs), got.URLs, want.URLs)
	}
	g, _ := json.Marshal([]any{got.Near, got.Counts})
	w, _ := json.Marshal([]any{want.Near, want.Counts})
	if string(g) != string(w) {
		t.Errorf("%+v: words and counts\n%.600s, reference\n%.600s", q, g, w)
	}
}

// wordGen draws words of several scripts, some of them longer than a shard's
// separator, some with digits.
var wordGen = rapid.OneOf(
	rapid.StringMatching(`[a-f]{1,9}`),
	rapid.StringMatching(`[ab]{4,8}`),
	rapid.StringMatching(`[A-Zéøßłåñ]{2,7}`),
	rapid.StringMatching(`[αβγςΣδ]{2,7}`),
	rapid.StringMatching(`[ж-я𝒜𐐀豈ﬁ]{1,6}`),
	rapid.StringMatching(`[\x{10400}\x{fa0e}]{1,3}`), // order by code point differs from order by UTF-16 unit
	rapid.StringMatching(`[0-9a]{1,6}`),
	rapid.StringMatching(`[a-c]{2,4}['’-][a-c]{1,4}`),
)

var docsGen = rapid.Custom(func(t *rapid.T) []Doc {
	n := rapid.IntRange(0, 30).Draw(t, "documents")
	docs := make([]Doc, n)
	for i := range docs {
		fields := make([]Field, rapid.IntRange(0, 3).Draw(t, "fields"))
		for j := range fields {
			words := rapid.SliceOfN(wordGen, 0, 4).Draw(t, "words")
			fields[j] = Field{strings.Join(words, " "), rapid.IntRange(1, MaxWeight).Draw(t, "weight")}
		}
		facets := map[string][]string{}
		if i%3 > 0 {
			facets["one"] = []string{rapid.SampledFrom([]string{"a", "b", "ç"}).Draw(t, "one")}
		}
		if many := rapid.SliceOfN(rapid.SampledFrom([]string{"x", "y", "z"}), 0, 3).Draw(t, "many"); len(many) > 0 {
			facets["many"] = many
		}
		docs[i] = Doc{URL: "p/" + string(rune('a'+i%26)) + strings.Repeat("x", i/26), Fields: fields, Facets: facets,
			Sort: rapid.SampledFrom([]string{"", "1", "2"}).Draw(t, "sort")}
	}
	return docs
})

var optionsGen = rapid.Custom(func(t *rapid.T) Options {
	return Options{ShardBytes: rapid.IntRange(1, 200).Draw(t, "shard"), CardsPerShard: rapid.IntRange(1, 9).Draw(t, "cards"),
		CardGroup: rapid.IntRange(1, 4).Draw(t, "group")}
})

// Every document is found by each of its words, by every beginning of it, and
// by it with one typing error; and the whole answer is the reference's.
func TestEveryWordFindsItsDocument(t *testing.T) {
	s := startScript(t)
	base := t.TempDir()
	rapid.Check(t, func(t *rapid.T) {
		docs := docsGen.Draw(t, "docs")
		x, err := Build(docs, optionsGen.Draw(t, "options"))
		if err != nil {
			t.Fatal(err)
		}
		dir, err := os.MkdirTemp(base, "")
		if err != nil {
			t.Fatal(err)
		}
		if err := x.WriteTo(dir); err != nil {
			t.Fatal(err)
		}
		ref := newReference(docs)
		queries, must := wordQueries(t, docs, ref)
		for i, got := range s.answers(t, dir, queries) {
			sameAnswer(t, queries[i], got, ref.answer(queries[i]))
			if must[i] != "" && !slices.Contains(got.URLs, must[i]) {
				t.Errorf("%q does not find %s", queries[i].Text, must[i])
			}
		}
		os.RemoveAll(filepath.Clean(dir))
	})
}

// wordQueries asks for each document by its words; must says which document
// has to be among the answers.
func wordQueries(t *rapid.T, docs []Doc, ref *reference) (queries []query, must []string) {
	ask := func(text, url string) {
		queries, must = append(queries, query{Text: text}), append(must, url)
	}
	ask("", "")
	ask("abbaa é", "")
	for _, d := range docs {
		for _, f := range d.Fields {
			for _, w := range Words(Fold(f.Text)) {
				r := []rune(w)
				ask(w, d.URL)
				ask(strings.ToUpper(w), "")
				if len(r) > 2 {
					ask(string(r[:rapid.IntRange(2, len(r)).Draw(t, "letters")]), d.URL)
				}
				wrong := typo(r, rapid.IntRange(0, 3).Draw(t, "edit"), rapid.IntRange(0, len(r)-1).Draw(t, "place"), 'k')
				mistyped := string(wrong)
				target := ""
				// A mistyped word that is a word itself is taken as it is; so is
				// one that is too short or a number.
				if forgivable(mistyped) && isMisspelt(mistyped, w) && !ref.isLiteral(mistyped) && !strings.ContainsFunc(w, unicode.IsNumber) {
					target = d.URL
				}
				ask(mistyped, target)
			}
		}
	}
	if len(queries) > 60 {
		queries, must = queries[:60], must[:60]
	}
	return queries, must
}

func (r *reference) isLiteral(word string) bool {
	return slices.ContainsFunc(r.terms, func(own map[string]int) bool { return literalScore(own, word) > 0 })
}
