package consent

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// wordings finds in the texts of plates what may not be said in public: names,
// addresses, ids. It takes time by the length of the texts, however many there
// are to be found.
type wordings struct {
	first map[string][]wording // by the first word
	whole map[string]wording   // names with their words run together
	alone map[string]wording   // names of one word, as they are written
	runs  []wording            // names in scripts without spaces, as they are written
}

// wording is something said in words; code is empty if it may be said.
type wording struct {
	words []string
	text  string // as written
	code  string
}

func newWordings() *wordings {
	return &wordings{first: map[string][]wording{}, whole: map[string]wording{}, alone: map[string]wording{}}
}

func (w *wordings) add(words []string, text, code string) {
	if len(words) == 0 {
		return
	}
	list := w.first[words[0]]
	if !slices.ContainsFunc(list, func(o wording) bool { return slices.Equal(o.words, words) && o.code == code }) {
		w.first[words[0]] = append(list, wording{words, text, code})
	}
}

// allow says that a text may be said; what stands inside it is then not found.
func (w *wordings) allow(text string) { w.add(fold(text), text, "") }

// forbid adds what is found wherever its words follow each other, in whatever
// case and spelling.
func (w *wordings) forbid(text, code string) { w.add(fold(text), text, code) }

// forbidName adds a name, in the spellings that people and programs give it. A
// name of one word may be a word of the language: it counts as it is written
// and in capitals only, so that a sitter called May does not hide the tag "may
// blossom".
func (w *wordings) forbidName(name, code string) {
	if runsOn(name) {
		if plain := norm.NFC.String(strings.Join(strings.Fields(name), "")); utf8.RuneCountInString(plain) > 1 {
			w.runs = append(w.runs, wording{text: plain, code: code})
		}
	}
	for _, form := range []string{name, unquoted.Replace(name), umlauts.Replace(norm.NFC.String(name)), umlauts.Replace(unquoted.Replace(norm.NFC.String(name)))} {
		words := fold(form)
		if len(words) == 1 {
			plain := norm.NFC.String(unseen.Replace(strings.TrimSpace(form)))
			w.alone[plain] = wording{text: name, code: code}
			w.alone[strings.ToUpper(plain)] = wording{text: name, code: code}
		}
		if len(words) < 2 {
			continue
		}
		w.add(words, name, code)
		for i := 1; i < len(words); i++ { // Quill, Ada; Quill Marsh, Ada
			w.add(slices.Concat(words[i:], words[:i]), name, code)
		}
		if joined := strings.Join(words, ""); utf8.RuneCountInString(joined) >= 8 {
			w.whole[joined] = wording{words: words, text: name, code: code}
		}
	}
}

// in gives the first thing that may not be said in one of the texts; ok is false
// if there is none.
func (w *wordings) in(texts []string) (found wording, ok bool) {
	for _, t := range texts {
		if t == "" {
			continue
		}
		if found, ok = w.phrase(fold(t)); ok {
			return found, true
		}
		if joined := unquoted.Replace(t); joined != t {
			if found, ok = w.phrase(fold(joined)); ok {
				return found, true
			}
		}
		if found, ok = w.word(norm.NFC.String(unseen.Replace(t))); ok {
			return found, true
		}
	}
	return wording{}, false
}

// phrase looks for the longest wording that begins at each word: what is inside
// one that may be said is passed over.
func (w *wordings) phrase(words []string) (wording, bool) {
	allowedTo := 0
	for i, word := range words {
		var longest wording
		for _, o := range w.first[word] {
			long := len(o.words) > len(longest.words) || len(o.words) == len(longest.words) && o.code == ""
			if long && i+len(o.words) <= len(words) && slices.Equal(o.words, words[i:i+len(o.words)]) {
				longest = o
			}
		}
		switch end := i + len(longest.words); {
		case len(longest.words) == 0:
			if found, ok := w.runTogether(words[i:]); ok && i >= allowedTo {
				return found, true
			}
		case longest.code == "":
			allowedTo = max(allowedTo, end)
		case end > allowedTo:
			return longest, true
		}
	}
	return wording{}, false
}

// runTogether says whether the text begins with a name whose words are not, or
// not all, apart: AdaQuill, Jean-LucMarsh.
func (w *wordings) runTogether(words []string) (wording, bool) {
	if len(w.whole) == 0 {
		return wording{}, false
	}
	joined := ""
	for _, word := range words[:min(len(words), 6)] {
		joined += word
		if found, ok := w.whole[joined]; ok {
			return found, true
		}
	}
	return wording{}, false
}

// word looks for names of one word, and for those in scripts without spaces.
func (w *wordings) word(text string) (wording, bool) {
	for _, word := range strings.FieldsFunc(text, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsNumber(r) && r != '-' && !unicode.IsMark(r)
	}) {
		if found, ok := w.alone[word]; ok {
			return found, true
		}
	}
	if len(w.runs) > 0 && runsOn(text) {
		plain := strings.Join(strings.Fields(text), "")
		for _, o := range w.runs {
			if strings.Contains(plain, o.text) {
				return o, true
			}
		}
	}
	return wording{}, false
}
