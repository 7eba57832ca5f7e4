package audit

import (
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/audit/markup"
	"sandarac/archive/audit/phrase"
)

// longestField is the length in bytes up to which a value can be a name, an id or
// a title that stands for itself.
const longestField = 200

// field judges a value that stands for itself.
func (r *reading) field(f markup.Field, p place) {
	if len(f.Value) > longestField {
		return
	}
	// A field knows its place in the source of the text it was found in.
	at := p
	if p.depth == 0 {
		at.source = func(int) int { return f.At }
	}
	if f.Kind == markup.URL {
		r.address(f.Value, at)
		return
	}
	if r.words.Cut([]byte(f.Value)); !r.alone.Any(&r.words) {
		return
	}
	key := strings.Join(phrase.Fold(f.Value), " ")
	for _, id := range r.short[key] {
		if r.shortCounts(r.things[id], f, key) {
			r.found(id, at, 0)
		}
	}
	for item := range items(f.Value) {
		for _, id := range r.single[strings.Join(phrase.Fold(item), " ")] {
			if r.singleCounts(r.things[id].Text, item, f.Name) {
				r.found(id, at, 0)
			}
		}
	}
}

// shortCounts says whether a value that equals a thing folded is the thing: a
// title where no published text is the same, an id where ids stand.
func (r *reading) shortCounts(thing Thing, f markup.Field, key string) bool {
	switch thing.Kind {
	case Title:
		return !r.opened[key]
	case Plate, Person:
		return f.Kind == markup.Key || namesID(f.Name) && !r.opened[key]
	}
	return true
}

// namesID says whether an attribute or member holds an id.
func namesID(name string) bool {
	for w := range strings.FieldsFuncSeq(strings.ToLower(name), func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch w {
		case "id", "ids", "identifier", "plate", "plates", "client", "sitter", "sitters", "person", "sku", "slug", "name":
			return true
		}
	}
	return false
}

// namesPerson says whether an attribute or member holds a person.
func namesPerson(name string) bool {
	name = strings.ToLower(name)
	for _, w := range []string{"sitter", "person", "people", "client", "guardian", "customer"} {
		if strings.Contains(name, w) {
			return true
		}
	}
	return false
}

// singleCounts says whether an item that equals a name of one word is the name.
func (r *reading) singleCounts(name, item, field string) bool {
	if namesPerson(field) {
		return true
	}
	folded := strings.Join(phrase.Fold(item), " ")
	return asWritten(item, name) && !calendar[folded] && !r.openWords[norm.NFC.String(strings.TrimSpace(item))] && (!strings.Contains(folded, " ") || !r.opened[folded])
}

// items cuts a value at what parts the items of a list.
func items(value string) func(yield func(string) bool) {
	for _, and := range []string{" and ", " und ", " & ", " with ", " mit "} {
		value = strings.ReplaceAll(value, and, ",")
	}
	return strings.FieldsFuncSeq(value, func(r rune) bool { return strings.ContainsRune(",;|/·•+\n", r) })
}

// term judges a term of the search index: a word that belongs to something
// forbidden and to no published text betrays it.
func (r *reading) term(value string, p place) {
	for _, w := range phrase.Fold(value) {
		if r.explained[w] {
			continue
		}
		for _, id := range r.parts[w] {
			r.found(id, p, 0)
		}
	}
}

// address judges the segments of an address or of a path.
func (r *reading) address(value string, p place) {
	if decoded, err := url.PathUnescape(value); err == nil {
		value = decoded
	}
	if r.words.Cut([]byte(value)); !r.alone.Any(&r.words) {
		return
	}
	if _, rest, ok := strings.Cut(value, "://"); ok {
		_, value, _ = strings.Cut(rest, "/") // not the host
	}
	value, _, _ = strings.Cut(value, "#")
	value, _, _ = strings.Cut(value, "?")
	for segment := range strings.SplitSeq(value, "/") {
		if utf8.RuneCountInString(segment) > longestField {
			continue
		}
		words := phrase.Fold(strings.TrimSuffix(segment, pathExt(segment)))
		key := strings.Join(words, " ")
		for _, id := range r.short[key] {
			// A number alone is a page of a list.
			if kind := r.things[id].Kind; (kind == Plate || kind == Person) && !r.opened[key] && !isNumber(key) {
				r.found(id, p, 0)
			}
		}
		for _, w := range words {
			if r.explained[w] || r.framed[w] || calendar[w] {
				continue
			}
			for _, id := range r.single[w] {
				r.found(id, p, 0)
			}
		}
	}
}

func isNumber(s string) bool {
	return !strings.ContainsFunc(s, func(r rune) bool { return !unicode.IsDigit(r) })
}
