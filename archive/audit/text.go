package audit

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/audit/imagefile"
	"sandarac/archive/audit/markup"
	"sandarac/archive/audit/phrase"
	"sandarac/archive/audit/unwrap"
)

// deepest is how many encodings are taken off one after the other.
const deepest = 4

// unpackLimit is how much a packed file may unpack to, in bytes.
const unpackLimit = 64 << 20

// reading is one file of the tree being searched.
type reading struct {
	*searcher
	data    []byte // the file as it is, for line numbers
	hits    []hit
	seen    map[string]bool
	words   phrase.Words
	picture func(data []byte, form string) // what is done with a picture found inside
	// hasPicture says that there was one.
	hasPicture bool
}

// hit is something found.
type hit struct {
	code    string
	thing   int    // place among the things, or −1
	form    string // how it is written there, in words; empty for plainly
	line    int    // from 1; 0 for not known
	message string // if there is no thing
}

func (r *reading) add(h hit) {
	key := h.code + "\x00" + h.message
	if h.thing >= 0 {
		key = h.code + "\x00" + string(r.things[h.thing].Kind) + "\x00" + r.things[h.thing].Text
	}
	if r.seen[key] {
		return
	}
	if r.seen == nil {
		r.seen = map[string]bool{}
	}
	r.seen[key] = true
	r.hits = append(r.hits, h)
}

// place is where a text being searched comes from.
type place struct {
	form   string           // encodings taken off, in words
	depth  int              // how many
	source func(at int) int // from a place in the text to one in the file; nil if not known
}

func (p place) inside(form string) place {
	return place{form: strings.TrimPrefix(p.form+", "+form, ", "), depth: p.depth + 1}
}

// near is inside for a passage that begins at a known place of the text.
func (p place) near(form string, at int) place {
	q := p.inside(form)
	if p.source != nil {
		begin := p.source(at)
		q.source = func(int) int { return begin }
	}
	return q
}

func (r *reading) line(p place, at int) int {
	if p.source == nil {
		return 0
	}
	return 1 + bytes.Count(r.data[:min(max(p.source(at), 0), len(r.data))], []byte("\n"))
}

// found notes a thing at a place of a text.
func (r *reading) found(thing int, p place, at int) {
	r.add(hit{code: codeOf[r.things[thing].Kind], thing: thing, form: p.form, line: r.line(p, at)})
}

// text searches a text with its fields, and then what is encoded in it.
func (r *reading) text(t *markup.Text, p place) {
	if p.source == nil && p.depth == 0 {
		p.source = t.Source
	}
	if len(t.Joints) == 0 {
		r.plain(t.Bytes, p)
	} else {
		// Whatever touches no joint is judged where the words stand apart: a
		// longer name that may be said is whole only there.
		r.phrases(t.Bytes, p, func(from, to int) bool {
			i, _ := slices.BinarySearch(t.Joints, from+1)
			return i < len(t.Joints) && t.Joints[i] < to
		})
		r.secrets(t.Bytes, p)
		parted := t.Parted()
		apart := p
		if p.source != nil && p.depth == 0 {
			apart.source = parted.Source
		}
		r.plain(parted.Bytes, apart)
	}
	for _, f := range t.Fields {
		r.field(f, p)
	}
	r.encoded(t.Bytes, p)
}

// encoded searches what is escaped in a text, or written in base64 and the like.
func (r *reading) encoded(text []byte, p place) {
	if p.depth >= deepest {
		return
	}
	for _, passage := range unwrap.Escapes(text) {
		inner := p.near("escaped", passage.At)
		// What stands in a margin, and does not touch an escape, was read already
		// with all that is around it.
		end := len(passage.Text) - passage.Tail
		r.phrases(passage.Text, inner, func(from, to int) bool { return to >= passage.Lead && from <= end })
		r.secrets(passage.Text, inner)
		r.releases(passage.Text, inner)
		r.secrets(passage.Raw, inner)
		r.runs(passage.Text, inner)
	}
	r.runs(text, p)
}

// Most runs are long words and hashes that stand on many pages: what was found to
// be nothing once is not looked at again.
func (r *reading) runs(text []byte, p place) {
	for _, b := range unwrap.Runs(text) {
		if len(b.Bytes) > longestNothing {
			r.blob(b.Bytes, p.near(b.Form, b.At))
			continue
		}
		key := string(b.Bytes)
		if _, known := r.nothing.Load(key); known {
			continue
		}
		before := len(r.hits)
		r.blob(b.Bytes, p.near(b.Form, b.At))
		// A hit that was noted before is not noted again: only a reading without
		// any says that there is nothing; nor does one so deep that it went no further.
		if p.depth == 0 && before == 0 && len(r.hits) == 0 && !r.hasPicture {
			r.nothing.Store(key, true)
		}
	}
}

// longestNothing is the length in bytes up to which runs are remembered.
const longestNothing = 96

// plain searches a text for phrases, quotations and secrets.
func (r *reading) plain(text []byte, p place) {
	r.phrases(text, p, nil)
	r.secrets(text, p)
	r.releases(text, p)
}

func (r *reading) releases(text []byte, p place) {
	if at := release.FindIndex(text); at != nil {
		r.add(hit{code: codeRelease, thing: -1, form: p.form, line: r.line(p, at[0]), message: "a model release code, which never leaves the studio, stands here"})
	}
}

// phrases searches a text for phrases and quotations; with counts, only for those
// of which, by where they begin and end, it is true.
func (r *reading) phrases(text []byte, p place, counts func(from, to int) bool) {
	w := &r.words
	w.Cut(text)
	here := func(first, last int) bool { return counts == nil || counts(int(w.Start[first]), int(w.End[last])) }
	r.people.Find(w, func(ids []int, first, last int) {
		for _, id := range ids {
			if here(first, last) {
				r.found(id, p, int(w.Start[first]))
			}
		}
	})
	r.texts.Find(w, func(ids []int, first, last int) {
		for _, id := range ids {
			if here(first, last) && r.written(id, text, w, first, last) {
				r.found(id, p, int(w.Start[first]))
			}
		}
	})
	r.quotes.Find(w, func(id, first, last int) {
		if here(first, last) {
			r.found(id, p, int(w.Start[first]))
		}
	})
	r.singles.Find(w, func(ids []int, first, last int) {
		if !here(first, last) || !addressed(text, w, first) {
			return
		}
		for _, id := range ids {
			if asWritten(string(text[w.Start[first]:w.End[last]]), r.things[id].Text) {
				r.found(id, p, int(w.Start[first]))
			}
		}
	})
}

// release are the codes of model releases (PLUS), which are records, not consent.
var release = regexp.MustCompile(`\bMR-(?:NON|NAP|UMR|LMR)\b`)

func (r *reading) secrets(data []byte, p place) {
	r.needles.Find(data, func(id int, form string, at int) {
		q := p
		if form != "as it is" {
			q.form = strings.TrimPrefix(p.form+", "+form, ", ")
		}
		r.found(id, q, at)
	})
}

// written says whether the words found are put together as the thing is: ids and
// file names are more than their words.
func (r *reading) written(id int, text []byte, w *phrase.Words, first, last int) bool {
	thing := r.things[id]
	switch thing.Kind {
	case Plate, Person:
		signs := "-_/" + thing.Text
		for i := first; i < last; i++ {
			gap := string(text[w.End[i]:w.Start[i+1]])
			if utf8.RuneCountInString(gap) != 1 || !strings.Contains(signs, gap) {
				return false
			}
		}
		return !numberGoesOn(thing.Text, text, int(w.Start[first]), int(w.End[last]))
	case File:
		if ext := pathExt(thing.Text); ext != "" && last > first {
			return string(text[w.End[last-1]:w.Start[last]]) == "."
		}
	}
	return true
}

// numberGoesOn says, of an id without letters, whether what was found is a piece
// of a longer number or date.
func numberGoesOn(id string, text []byte, from, to int) bool {
	if strings.ContainsFunc(id, unicode.IsLetter) {
		return false
	}
	isDigit := func(i int) bool { return i >= 0 && i < len(text) && '0' <= text[i] && text[i] <= '9' }
	joins := func(i int) bool { return i >= 0 && i < len(text) && strings.IndexByte("-.,:/", text[i]) >= 0 }
	return joins(from-1) && isDigit(from-2) || joins(to) && isDigit(to+1)
}

// asWritten says whether a word is a name as its owner writes it, or in capitals.
func asWritten(word, name string) bool {
	word, name = norm.NFC.String(strings.TrimSpace(word)), norm.NFC.String(strings.TrimSpace(name))
	return word == name || word == strings.ToUpper(name) && utf8.RuneCountInString(name) > 1
}

// titles are words behind which a name stands.
var titles = set("mr mrs ms miss mx dr prof sir lady lord dame herr herrn frau fraulein mme mlle madame monsieur")

// likenesses are words behind which, with "of" or "von" between, a name stands.
var likenesses = set("portrait portraits picture pictures plate plates likeness photograph tintype ambrotype hands face study portrat bild bildnis platte hande gesicht")

func set(words string) map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(words) {
		m[w] = true
	}
	return m
}

// addressed says whether the word at i stands where a person is named: behind
// "Mrs", or behind "portrait of".
func addressed(text []byte, w *phrase.Words, i int) bool {
	word := func(i int) string {
		if i < 0 {
			return ""
		}
		return strings.Join(phrase.Fold(string(text[w.Start[i]:w.End[i]])), "")
	}
	before := word(i - 1)
	return titles[before] || (before == "of" || before == "von") && likenesses[word(i-2)]
}

// blob searches bytes that were found inside others: a picture, something packed,
// a text, or anything.
func (r *reading) blob(data []byte, p place) {
	if p.depth > deepest || len(data) == 0 {
		return
	}
	if imagefile.Format(data) != "" {
		r.picture(data, p.form)
		return
	}
	if unwrap.Packed(data) != "" {
		members, err := unwrap.Unpack(data, unpackLimit)
		for _, m := range members {
			inner := p.inside(m.Form)
			inner.source = p.source
			r.plain([]byte(m.Name), inner)
			r.blob(m.Bytes, inner)
		}
		if err == nil {
			return
		}
	}
	if readable(data) {
		r.text(sniff(data), p)
		return
	}
	r.secrets(data, p)
	for _, b := range slices.Concat(unwrap.UTF16(data), unwrap.Strings(data)) {
		inner := p
		if b.Form != "" {
			inner = p.inside(b.Form)
		}
		r.plain(b.Bytes, inner)
	}
	if p.depth < deepest {
		if inflated := unwrap.Inflate(data, unpackLimit); inflated != nil {
			r.blob(inflated, p.inside("in deflate"))
		}
	}
}

// readable says whether bytes are text: UTF-8, without control characters.
func readable(data []byte) bool {
	return utf8.Valid(data) && bytes.IndexFunc(data, func(r rune) bool {
		return r < 0x20 && r != '\n' && r != '\r' && r != '\t' && r != '\f' || r == 0x7f || r == 0xfffe || r == 0xffff
	}) < 0
}

// sniff reads a text of unknown kind.
func sniff(data []byte) *markup.Text {
	switch start := bytes.TrimLeft(data, " \t\r\n\ufeff"); {
	case bytes.HasPrefix(start, []byte("<")):
		return markup.HTML(data)
	case bytes.HasPrefix(start, []byte("{")), bytes.HasPrefix(start, []byte("[")):
		return markup.JSON(data)
	}
	return markup.Plain(data)
}
