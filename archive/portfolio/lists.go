package portfolio

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// term is one list: the plates that share a year, a size, a kind, a light or a
// tag. Slug is its folder, Name what is shown.
type term struct {
	Slug  string `json:"slug"`
	Name  string `json:"name"`
	Count int    `json:"count"`
}

// lists are the terms by taxonomy, in the order pages show them.
type lists struct {
	Years    []term `json:"years"`
	Formats  []term `json:"formats"`
	Supports []term `json:"supports"`
	Lights   []term `json:"lights"`
	Tags     []term `json:"tags"`
	Batches  []term `json:"batches"` // for the filter only: no pages

	lightSlug, tagSlug, batchSlug map[string]string
	light, tag                    map[string]string // any spelling → the spelling shown
}

// taxonomies are the list kinds that have pages, in the order they are shown:
// Hugo's plural, which is the folder, and its singular, which the words' keys
// use.
var taxonomies = []struct{ plural, singular string }{
	{"years", "year"}, {"formats", "format"}, {"supports", "support"}, {"lights", "light"}, {"tags", "tag"},
}

func newLists(plates []plate, secret []byte, w words) *lists {
	years, formats, supports := map[string]int{}, map[string]int{}, map[string]int{}
	lights, tags, batches := map[string]int{}, map[string]int{}, map[string]int{}
	l := &lists{light: map[string]string{}, tag: map[string]string{}}
	for i := len(plates) - 1; i >= 0; i-- { // oldest first: the first spelling stays
		p := plates[i]
		count(years, p.year())
		count(formats, p.format)
		count(supports, p.Support)
		count(lights, oneSpelling(l.light, p.LightKind))
		count(batches, collodionOf(p))
		for _, t := range l.tagsOf(p) {
			count(tags, t)
		}
	}
	l.lightSlug = termSlugs(secret, "light", sortedKeys(lights))
	l.tagSlug = termSlugs(secret, "tag", sortedKeys(tags))
	l.batchSlug = termSlugs(secret, "batch", sortedKeys(batches))

	l.Years = terms(years, nil, nil)
	slices.Reverse(l.Years)
	l.Formats = terms(formats, nil, func(k string) string { return w.say("format_" + k) })
	l.Supports = terms(supports, nil, func(k string) string { return w.say("support_" + key(k)) })
	l.Lights = byCount(terms(lights, l.lightSlug, nil))
	l.Tags = byCount(terms(tags, l.tagSlug, nil))
	l.Batches = terms(batches, l.batchSlug, nil)
	sortFormats(l.Formats, plates)
	return l
}

func count(in map[string]int, key string) {
	if key != "" {
		in[key]++
	}
}

// oneSpelling folds the spaces and case of a word and remembers the first
// spelling met, so that "North light" and "north  light" are one list.
func oneSpelling(known map[string]string, text string) string {
	text = clean(text)
	folded := strings.ToLower(text)
	if _, ok := known[folded]; !ok && text != "" {
		known[folded] = text
	}
	return known[folded]
}

// tagsOf are a plate's tags in the spelling shown, each once.
func (l *lists) tagsOf(p plate) []string {
	var out []string
	for _, t := range p.Tags {
		if t = oneSpelling(l.tag, t); t != "" && !slices.Contains(out, t) {
			out = append(out, t)
		}
	}
	return out
}

// lightOf is a plate's kind of light in the spelling shown.
func (l *lists) lightOf(p plate) string { return oneSpelling(l.light, p.LightKind) }

func sortedKeys(m map[string]int) []string {
	out := make([]string, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// terms sorts by name as a reader would, figures by their value.
func terms(counts map[string]int, slugs map[string]string, name func(string) string) []term {
	out := make([]term, 0, len(counts))
	for _, k := range sortedKeys(counts) {
		t := term{Slug: k, Name: k, Count: counts[k]}
		if slugs != nil {
			t.Slug = slugs[k]
		}
		if name != nil {
			t.Name = name(k)
		}
		out = append(out, t)
	}
	slices.SortStableFunc(out, func(a, b term) int {
		x, errX := strconv.Atoi(a.Name)
		y, errY := strconv.Atoi(b.Name)
		if errX == nil && errY == nil {
			return cmp.Compare(x, y)
		}
		return cmp.Or(strings.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)), strings.Compare(a.Name, b.Name))
	})
	return out
}

func byCount(t []term) []term {
	slices.SortStableFunc(t, func(a, b term) int { return cmp.Compare(b.Count, a.Count) })
	return t
}

// sortFormats puts the largest plate first and sizes without a name last.
func sortFormats(t []term, plates []plate) {
	area := map[string]float64{otherFormat: 0}
	for _, p := range plates {
		if p.format != otherFormat {
			area[p.format] = p.widthMM * p.heightMM
		}
	}
	slices.SortStableFunc(t, func(a, b term) int { return cmp.Compare(area[b.Slug], area[a.Slug]) })
}
