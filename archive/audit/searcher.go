package audit

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"

	"sandarac/archive/audit/needle"
	"sandarac/archive/audit/phrase"
	"sandarac/archive/audit/unwrap"
)

// searcher is Forbidden made ready to be looked for. It is not changed after
// compile, but for what it remembers, and is used by all workers.
type searcher struct {
	nothing sync.Map // runs of base64 and the like that stand for nothing

	things        []Thing
	digest        string // of all that decides what is found
	secretsDigest string // of what is looked for in sealed files

	people  *phrase.Matcher  // names and addresses
	texts   *phrase.Matcher  // ids, titles, file names, short notes
	quotes  *phrase.Quotes   // notes
	singles *phrase.Matcher  // names of one word
	needles *needle.Set      // secrets
	single  map[string][]int // a folded name of one word → things
	short   map[string][]int // what counts only where it stands for itself, folded
	alone   phrase.Set       // the words of single and short
	parts   map[string][]int // folded words that betray a thing as search terms

	explained map[string]bool // folded words of open texts
	opened    map[string]bool // whole open texts, folded
	openWords map[string]bool // open texts of one word, as written
	framed    map[string]bool // folded words of the frame's single values
	plain     map[string]bool // folded words that tell nothing
}

func compile(f Forbidden) *searcher {
	f = sorted(f)
	s := &searcher{
		things: f.Things, people: phrase.NewMatcher(), texts: phrase.NewMatcher(), quotes: phrase.NewQuotes(), singles: phrase.NewMatcher(),
		needles: needle.NewSet(), single: map[string][]int{}, short: map[string][]int{}, parts: map[string][]int{},
		explained: map[string]bool{}, opened: map[string]bool{}, openWords: map[string]bool{}, framed: map[string]bool{}, plain: map[string]bool{},
	}
	s.open(f)
	for _, text := range f.Plain {
		for _, w := range phrase.Fold(text) {
			s.plain[w] = true
		}
	}
	s.quotes.Plain(s.isPlain)
	said, framed := saidOpenly(f), saidByFrame(f)
	for i, thing := range f.Things {
		if framed[i] {
			s.addFramed(thing, i)
		} else {
			s.add(thing, i, said[i])
		}
	}
	for _, text := range f.Open {
		s.quotes.Allow(text)
	}
	s.people.Build()
	s.texts.Build()
	s.singles.Build()
	s.digest = digest(f)
	secrets := slices.DeleteFunc(slices.Clone(f.Things), func(t Thing) bool { return t.Kind != Secret })
	s.secretsDigest = digest(Forbidden{Things: secrets})
	return s
}

// open notes what may be said.
func (s *searcher) open(f Forbidden) {
	for _, text := range f.Open {
		words := phrase.Fold(text)
		for _, w := range words {
			s.explained[w] = true
		}
		for _, form := range nameForms(text) { // O'Hara is a term as OHara, too
			for _, w := range phrase.Fold(form) {
				s.explained[w] = true
			}
		}
		s.explainChains(text)
		s.value(text, words)
		s.texts.Allow(text)
	}
	for _, text := range f.Frame {
		words := phrase.Fold(text)
		s.value(text, words)
		if !strings.ContainsFunc(text, unicode.IsSpace) {
			for _, w := range words {
				s.framed[w] = true
			}
		}
	}
	for _, name := range f.OpenNames {
		s.people.Allow(name)
	}
}

// explainChains notes the terms that an index makes of what hyphens link:
// 26-031-b is found as 26031b, too.
func (s *searcher) explainChains(text string) {
	for chain := range strings.FieldsFuncSeq(text, func(r rune) bool {
		return r != '-' && !unicode.IsLetter(r) && !unicode.IsNumber(r) && !unicode.IsMark(r)
	}) {
		if words := phrase.Fold(chain); len(words) > 1 {
			s.explained[strings.Join(words, "")] = true
		}
	}
}

// value notes that a text may stand for itself.
func (s *searcher) value(text string, words []string) {
	s.opened[strings.Join(words, " ")] = true
	if len(words) == 1 {
		s.openWords[norm.NFC.String(strings.TrimSpace(text))] = true
	}
}

// sorted gives the same in an order that depends on nothing but the content, each
// once: the records lie in maps.
func sorted(f Forbidden) Forbidden {
	f.Things = slices.Clone(f.Things)
	slices.SortFunc(f.Things, func(a, b Thing) int {
		return cmp.Or(cmp.Compare(a.Kind, b.Kind), cmp.Compare(a.Text, b.Text), cmp.Compare(a.Plate, b.Plate), cmp.Compare(a.What, b.What))
	})
	f.Things = slices.Compact(f.Things)
	for _, list := range []*[]string{&f.Open, &f.OpenNames, &f.Frame, &f.Plain} {
		*list = slices.Clone(*list)
		slices.Sort(*list)
		*list = slices.Compact(*list)
	}
	return f
}

// add readies one thing. open tells whether a published text says the same.
func (s *searcher) add(thing Thing, id int, open bool) {
	switch thing.Kind {
	case Name:
		s.addName(thing.Text, id)
	case Email:
		s.people.Forbid(thing.Text, id)
		for _, w := range phrase.Fold(thing.Text) {
			if len(w) >= 4 {
				s.part(w, id)
			}
		}
	case Note:
		if words := phrase.Fold(thing.Text); !s.quotes.Forbid(thing.Text, id) && len(words) >= 4 && !open && !s.allPlain(words) {
			s.texts.Forbid(thing.Text, id)
		}
	case Title:
		switch words := phrase.Fold(thing.Text); {
		case open || len(words) < 2 || s.allPlain(words):
		case len(words) >= 4:
			s.texts.Forbid(thing.Text, id)
		default:
			s.shorten(thing.Text, id)
		}
	case Plate, Person:
		s.addID(thing, id, open)
	case File:
		s.addFile(thing.Text, id)
	case Secret:
		s.addSecret(thing.Text, id)
	}
}

func (s *searcher) isPlain(word string) bool { return s.plain[word] || isNumber(word) }

func (s *searcher) allPlain(words []string) bool {
	return !slices.ContainsFunc(words, func(w string) bool { return !s.isPlain(w) })
}

// addFramed readies a thing that every site says. Only a name can still be told
// from that: where a person is meant, as it is written.
func (s *searcher) addFramed(thing Thing, id int) {
	if thing.Kind != Name {
		return
	}
	for _, form := range nameForms(thing.Text) {
		s.addAlone(form, id)
	}
}

// addAlone readies a name that may be words of the language.
func (s *searcher) addAlone(name string, id int) {
	key := strings.Join(phrase.Fold(name), " ")
	s.single[key] = appendNew(s.single[key], id)
	s.alone.Add(name)
	s.singles.Forbid(name, id)
}

// addSecret readies a secret: as it is, and, if it is text that stands for bytes
// (a key file in hexadecimal or base64), those bytes too. A short one, a
// passphrase, counts where it stands for itself.
func (s *searcher) addSecret(secret string, id int) {
	trimmed := strings.TrimSpace(secret)
	added := s.needles.Add([]byte(secret), id)
	if utf8.ValidString(secret) {
		if trimmed != secret {
			added = s.needles.Add([]byte(trimmed), id) || added
		}
		for _, run := range unwrap.Runs([]byte(trimmed)) {
			if run.At == 0 && len(run.Bytes) >= len(trimmed)/2 {
				s.needles.Add(run.Bytes, id)
			}
		}
	}
	if !added {
		s.shorten(trimmed, id)
	}
}

// addName readies a name in the spellings that programs and people give it.
func (s *searcher) addName(name string, id int) {
	for _, form := range nameForms(name) {
		words := phrase.Fold(form)
		switch {
		case len(words) == 0:
		case len(words) == 1 || allCalendar(words):
			s.addAlone(form, id)
		default:
			s.people.Forbid(form, id)
			for i := 1; i < len(words); i++ { // Quill, Ada; Quill Marsh, Ada
				s.people.Forbid(strings.Join(slices.Concat(words[i:], words[:i]), " "), id)
			}
			if joined := strings.Join(words, ""); utf8.RuneCountInString(joined) >= 8 {
				s.people.Forbid(joined, id)
			}
		}
		s.addParts(form, id)
	}
}

// addParts notes the words of a name that betray it as search terms: those of
// three letters or more that begin with a capital ("and" does not).
func (s *searcher) addParts(name string, id int) {
	for _, word := range strings.FieldsFunc(name, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("-'’.,", r) }) {
		first, _ := utf8.DecodeRuneInString(word)
		folded := strings.Join(phrase.Fold(word), "")
		if unicode.IsUpper(first) && utf8.RuneCountInString(folded) >= 3 {
			s.part(folded, id)
		}
	}
}

// nameForms gives a name as written, with what an apostrophe parts joined
// (O'Hara, OHara), with German umlauts spelt out, as addresses have them, and with
// both.
func nameForms(name string) []string {
	forms := []string{name}
	for _, spell := range []*strings.Replacer{
		strings.NewReplacer("'", "", "’", "", "ʼ", ""),
		strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue"),
	} {
		for _, form := range slices.Clone(forms) {
			if form = spell.Replace(norm.NFC.String(form)); !slices.Contains(forms, form) {
				forms = append(forms, form)
			}
		}
	}
	return forms
}

// addID readies an id. One that can only be an id is looked for anywhere.
func (s *searcher) addID(thing Thing, id int, open bool) {
	words := phrase.Fold(thing.Text)
	if len(words) == 0 || open {
		return
	}
	if telling(thing.Text) || thing.Kind == Person && len(words) >= 2 {
		s.texts.Forbid(thing.Text, id)
	} else {
		s.shorten(thing.Text, id)
	}
	if joined := strings.Join(words, ""); len(words) > 1 && len(joined) >= 4 {
		s.part(joined, id)
	}
	for _, w := range words {
		if len(w) >= 3 && strings.ContainsFunc(w, unicode.IsDigit) {
			s.part(w, id)
		}
	}
}

// telling says whether an id can hardly be anything else: it has a digit and five
// letters or digits, and is not a date.
func telling(id string) bool {
	letters, digits := 0, 0
	for _, r := range id {
		switch {
		case unicode.IsDigit(r):
			digits++
		case unicode.IsLetter(r):
			letters++
		}
	}
	return digits > 0 && letters+digits >= 5 && !dateLike.MatchString(id)
}

var dateLike = regexp.MustCompile(`^(18|19|20)\d\d[-._/]?(0\d|1[0-2])([-._/]?[0-3]\d)?$`)

// addFile readies a file name (with its ending) or a folder's path. A name that is
// short or only a number could be anything.
func (s *searcher) addFile(name string, id int) {
	stem := strings.TrimSuffix(name, pathExt(name))
	if letters := strings.IndexFunc(stem, unicode.IsLetter) >= 0; !letters && len(stem) < 5 || utf8.RuneCountInString(stem) < 4 {
		return
	}
	if strings.ContainsAny(name, `/\`) && len(phrase.Fold(name)) < 2 {
		return // "/" or "/data"
	}
	s.texts.Forbid(name, id)
}

func pathExt(name string) string {
	if i := strings.LastIndexByte(name, '.'); i > 0 && !strings.ContainsAny(name[i:], `/\`) {
		return name[i:]
	}
	return ""
}

// shorten readies what counts only where it stands for itself.
func (s *searcher) shorten(text string, id int) {
	key := strings.Join(phrase.Fold(text), " ")
	if key != "" {
		s.short[key] = appendNew(s.short[key], id)
		s.alone.Add(text)
	}
}

// part notes a word that as a search term betrays a thing, unless an open text
// has it too.
func (s *searcher) part(word string, id int) {
	if !calendar[word] {
		s.parts[word] = appendNew(s.parts[word], id)
	}
}

func appendNew(list []int, id int) []int {
	if slices.Contains(list, id) {
		return list
	}
	return append(list, id)
}

// digest is a hash of everything that decides what is found in a text.
func digest(f Forbidden) string {
	sum := sha256.New()
	field := func(text string) { fmt.Fprintf(sum, "%d:%s", len(text), text) }
	field(cacheVersion)
	for _, t := range f.Things {
		field(string(t.Kind))
		field(t.Text)
		field(t.What)
		field(t.Plate)
	}
	for _, list := range [][]string{f.Open, f.OpenNames, f.Frame, f.Plain} {
		field(fmt.Sprint(len(list)))
		for _, text := range list {
			field(text)
		}
	}
	return hex.EncodeToString(sum.Sum(nil))
}

// saidOpenly gives the things (by place) whose text stands, as words, in a text
// that is published.
func saidOpenly(f Forbidden) map[int]bool {
	m := phrase.NewMatcher()
	for i, t := range f.Things {
		if t.Kind == Title || t.Kind == Person || t.Kind == Note {
			m.Forbid(t.Text, i)
		}
	}
	return saidIn(m, f.Open)
}

// saidByFrame gives the names, ids, titles and file names (by place) that stand,
// as words, in what every site says.
func saidByFrame(f Forbidden) map[int]bool {
	m := phrase.NewMatcher()
	for i, t := range f.Things {
		switch t.Kind {
		case Name:
			for _, form := range nameForms(t.Text) {
				m.Forbid(form, i)
			}
		case Plate, Person, Title, File:
			m.Forbid(t.Text, i)
		}
	}
	return saidIn(m, f.Frame)
}

func saidIn(m *phrase.Matcher, texts []string) map[int]bool {
	m.Build()
	said := map[int]bool{}
	var w phrase.Words
	for _, text := range texts {
		w.Cut([]byte(text))
		m.Find(&w, func(ids []int, _, _ int) {
			for _, id := range ids {
				said[id] = true
			}
		})
	}
	return said
}
