package substance

import "strings"

// Match is what a name in a recipe stands for.
type Match struct {
	Substance
	// Known is false for a name the cupboard lacks: the substance then holds
	// the name as written and the classes its words give away.
	Known bool
	// Question is set when the name leaves the hydrate or grade open; the
	// substance is the form usually sold.
	Question string
	// Near is a known name one or two letters away from an unknown one.
	Near string
}

// Find looks a name up among names, synonyms, slugs and formulas. Case,
// hyphens, repeated spaces and ph for f in sulphur do not matter.
func Find(name string) Match {
	key := fold(name)
	if m, ok := index[key]; ok {
		return m
	}
	display := strings.Join(strings.Fields(name), " ")
	return Match{
		Substance: Substance{Slug: strings.ReplaceAll(key, " ", "-"), Name: display, Classes: classesByName(key)},
		Near:      nearest(key),
	}
}

// All returns the cupboard in the order of the process. The caller may keep the
// slice.
func All() []Substance {
	var out []Substance
	for _, shelf := range shelves {
		out = append(out, shelf...)
	}
	return out
}

var shelves = [][]Substance{collodionShelf, iodideShelf, bromideShelf, bathShelf, developerShelf, fixerShelf, varnishShelf, otherShelf}

// open holds the names that leave something to ask, with the slug of the form
// usually sold.
var open = []struct {
	names    []string
	slug     string
	question string
}{
	{[]string{"cadmium bromide", "CdBr2", "bromide of cadmium"}, "cadmium-bromide-tetrahydrate",
		"cadmium bromide is sold as the tetrahydrate and, less often, anhydrous; the anhydrous salt holds 26 % more bromide. Which does the bottle say?"},
	{[]string{"sodium thiosulfate", "hypo", "thiosulfate", "hyposulfite of soda", "sodium hyposulfite"}, "sodium-thiosulfate-pentahydrate",
		"sodium thiosulfate is sold as crystals (pentahydrate) and anhydrous, which is 57 % stronger by weight. Which does the bottle say?"},
	{[]string{"ferrous sulfate", "iron sulfate", "FeSO4", "iron(II) sulfate", "sulfate of iron", "protosulfate of iron"}, "ferrous-sulfate-heptahydrate",
		"ferrous sulfate is taken as the green crystals (heptahydrate); the dried powder is about 1.6 times as strong. Which does the bottle say?"},
	{[]string{"copper sulfate", "CuSO4", "sulfate of copper"}, "copper-sulfate-pentahydrate",
		"copper sulfate is taken as the blue crystals (pentahydrate). Does the bottle say so?"},
	{[]string{"lithium iodide", "LiI", "iodide of lithium"}, "lithium-iodide-anhydrous",
		"lithium iodide is often sold as a hydrate (the trihydrate holds 29 % less iodide). Which does the bottle say?"},
	{[]string{"nitrocellulose", "cotton"}, "pyroxylin", "is this soluble cotton (pyroxylin) or a solution? A solution is entered as plain collodion, in millilitres."},
}

var index = func() map[string]Match {
	m := map[string]Match{}
	bySlug := map[string]Substance{}
	for _, s := range All() {
		bySlug[s.Slug] = s
		for _, name := range append([]string{s.Slug, s.Name, s.Formula}, s.Synonyms...) {
			if name != "" {
				m[fold(name)] = Match{Substance: s, Known: true}
			}
		}
	}
	for _, o := range open {
		for _, name := range o.names {
			m[fold(name)] = Match{Substance: bySlug[o.slug], Known: true, Question: o.question}
		}
	}
	return m
}()

var folding = strings.NewReplacer("sulph", "sulf", "-", " ", "_", " ", "’", "", "'", "", ".", " ", "*", "·",
	"₀", "0", "₁", "1", "₂", "2", "₃", "3", "₄", "4", "₅", "5", "₆", "6", "₇", "7", "₈", "8", "₉", "9")

func fold(name string) string {
	return strings.Join(strings.Fields(folding.Replace(strings.ToLower(name))), " ")
}

// nearest returns the one known name within two letters of key, or "". Short
// names are left alone: among formulas everything is near everything.
func nearest(key string) string {
	if len(key) < 6 {
		return ""
	}
	best, name := 3, ""
	for known, m := range index {
		if len(known) < 6 {
			continue
		}
		if d := distance(key, known); d < best || d == best && d < 3 && m.Name < name {
			best, name = d, m.Name
		}
	}
	return name
}

// distance is Levenshtein's edit distance in bytes.
func distance(a, b string) int {
	if max(len(a), len(b))-min(len(a), len(b)) > 2 {
		return 3
	}
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := diagonal
			if a[i] != b[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, diagonal+1)
		}
	}
	return row[len(b)]
}
