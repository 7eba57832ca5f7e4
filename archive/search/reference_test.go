package search

import (
	"cmp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// query and answer are as engine.mjs takes and gives them.
type query struct {
	Text    string              `json:"text"`
	Filters map[string][]string `json:"filters"`
}

type answer struct {
	URLs   []string                  `json:"urls"`
	Near   []nearWord                `json:"near"`
	Counts map[string]map[string]int `json:"counts"`
	Error  string                    `json:"error,omitempty"`
}

type nearWord struct {
	Word  string   `json:"word"`
	Found []string `json:"found"`
}

// reference answers queries by going through every term of every document. It
// shares nothing with the index but Fold and the cutting into terms.
type reference struct {
	docs  []Doc // in result order without words
	terms []map[string]int
}

func newReference(docs []Doc) *reference {
	r := &reference{docs: slices.Clone(docs)}
	slices.SortFunc(r.docs, func(a, b Doc) int { return cmp.Or(cmp.Compare(b.Sort, a.Sort), cmp.Compare(a.URL, b.URL)) })
	for _, d := range r.docs {
		own := map[string]int{}
		for _, f := range d.Fields {
			terms(f.Text, func(t string) { own[t] = max(own[t], f.Weight) })
		}
		r.terms = append(r.terms, own)
	}
	return r
}

func (r *reference) answer(q query) answer {
	var words []string
	for _, w := range Words(Fold(q.Text)) {
		if !slices.Contains(words, w) && len(words) < 16 {
			words = append(words, w)
		}
	}
	widened := make([]bool, len(words))
	for i, w := range words {
		widened[i] = forgivable(w) && !slices.ContainsFunc(r.terms, func(own map[string]int) bool { return literalScore(own, w) > 0 })
	}
	scores := r.scores(words, widened)
	if len(words) > 0 && !slices.ContainsFunc(scores, func(s int) bool { return s > 0 }) {
		for i, w := range words {
			widened[i] = forgivable(w)
		}
		scores = r.scores(words, widened)
	}
	return r.compose(q, words, widened, scores)
}

// scores gives each document's score, 0 where a word is not met.
func (r *reference) scores(words []string, widened []bool) []int {
	scores := make([]int, len(r.docs))
	for i, own := range r.terms {
		for j, w := range words {
			s := literalScore(own, w)
			if widened[j] {
				for t, weight := range own {
					if isMisspelt(w, t) {
						s = max(s, weight)
					}
				}
			}
			if s == 0 {
				scores[i] = 0
				break
			}
			scores[i] += s
		}
	}
	return scores
}

func literalScore(own map[string]int, word string) int {
	s := 4 * own[word]
	if utf8.RuneCountInString(word) < 2 {
		return s
	}
	for t, weight := range own {
		if strings.HasPrefix(t, word) {
			s = max(s, 2*weight)
		}
	}
	return s
}

func forgivable(w string) bool {
	return utf8.RuneCountInString(w) >= 5 && !strings.ContainsFunc(w, unicode.IsNumber)
}

func isMisspelt(word, term string) bool {
	return utf8.RuneCountInString(term) >= 4 && !strings.ContainsFunc(term, unicode.IsNumber) && editDistance([]rune(word), []rune(term)) == 1
}

// editDistance is the restricted Damerau-Levenshtein distance by the full
// table (Wagner and Fischer 1974, with Damerau's transposition).
func editDistance(a, b []rune) int {
	d := make([][]int, len(a)+1)
	for i := range d {
		d[i] = make([]int, len(b)+1)
		d[i][0] = i
	}
	for j := range d[0] {
		d[0][j] = j
	}
	for i := 1; i <= len(a); i++ {
		for j := 1; j <= len(b); j++ {
			cost := 1
			if a[i-1] == b[j-1] {
				cost = 0
			}
			d[i][j] = min(d[i-1][j]+1, d[i][j-1]+1, d[i-1][j-1]+cost)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				d[i][j] = min(d[i][j], d[i-2][j-2]+1)
			}
		}
	}
	return d[len(a)][len(b)]
}

func (r *reference) compose(q query, words []string, widened []bool, scores []int) answer {
	a := answer{URLs: []string{}, Near: []nearWord{}, Counts: map[string]map[string]int{}}
	for _, d := range r.docs {
		for facet, values := range d.Facets {
			for _, v := range values {
				if a.Counts[facet] == nil {
					a.Counts[facet] = map[string]int{}
				}
				a.Counts[facet][v] += 0
			}
		}
	}
	var hits []int
	for i, d := range r.docs {
		if len(words) > 0 && scores[i] == 0 {
			continue
		}
		if meets(d, q.Filters, "") {
			hits = append(hits, i)
		}
		for facet, counts := range a.Counts {
			if meets(d, q.Filters, facet) {
				for _, v := range slices.Compact(slices.Sorted(slices.Values(d.Facets[facet]))) {
					counts[v]++
				}
			}
		}
	}
	slices.SortStableFunc(hits, func(x, y int) int { return cmp.Compare(scores[y], scores[x]) })
	for _, i := range hits {
		a.URLs = append(a.URLs, r.docs[i].URL)
	}
	for j, w := range words {
		if widened[j] {
			if found := r.near(w, scores); len(found) > 0 {
				a.Near = append(a.Near, nearWord{w, found})
			}
		}
	}
	return a
}

// meets tells whether a document has a chosen value of every facet but one.
func meets(d Doc, filters map[string][]string, except string) bool {
	for facet, chosen := range filters {
		if facet == except || len(chosen) == 0 {
			continue
		}
		if !slices.ContainsFunc(d.Facets[facet], func(v string) bool { return slices.Contains(chosen, v) }) {
			return false
		}
	}
	return true
}

// near gives the terms one edit from a word that brought in documents.
func (r *reference) near(word string, scores []int) []string {
	brought := map[string]int{}
	for i, own := range r.terms {
		if scores[i] == 0 || literalScore(own, word) > 0 {
			continue
		}
		for t := range own {
			if isMisspelt(word, t) {
				brought[t]++
			}
		}
	}
	found := []string{}
	for t := range brought {
		found = append(found, t)
	}
	slices.SortFunc(found, func(a, b string) int { return cmp.Or(cmp.Compare(brought[b], brought[a]), cmp.Compare(a, b)) })
	return found
}
