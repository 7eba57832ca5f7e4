package consent

import (
	"html"
	"regexp"
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
	first map[string][]wording // by the first two words, or the only one
	added map[string]bool      // words and codes that are in first
	whole map[string]wording   // names with their words run together
	alone map[string]wording   // names of one word, as they are written
	parts map[string]wording   // words of names, folded
	runs  []wording            // names in scripts without spaces, as they are written
}

// wording is something said in words; code is empty if it may be said.
type wording struct {
	words []string
	text  string // as written
	code  string
}

func newWordings() *wordings {
	return &wordings{first: map[string][]wording{}, added: map[string]bool{}, whole: map[string]wording{}, alone: map[string]wording{}, parts: map[string]wording{}}
}

func (w *wordings) add(words []string, text, code string) {
	if len(words) == 0 {
		return
	}
	// Folded words hold neither spaces nor line ends.
	if whole := strings.Join(words, " ") + "\n" + code; !w.added[whole] {
		w.added[whole] = true
		key := beginning(words)
		w.first[key] = append(w.first[key], wording{words, text, code})
	}
}

// beginning is what wordings are looked up by. One word is not enough: there may
// be thousands of names that begin with "of", turned round.
func beginning(words []string) string { return strings.Join(words[:min(2, len(words))], " ") }

// from gives the wordings that may begin at the first of some words.
func (w *wordings) from(words []string) (short, long []wording) {
	if len(words) > 1 {
		long = w.first[beginning(words)]
	}
	return w.first[words[0]], long
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
	for _, form := range spellings(name) {
		words := fold(form)
		if len(words) == 1 {
			plain := norm.NFC.String(unseen.Replace(strings.TrimSpace(form)))
			w.alone[plain] = wording{text: name, code: code}
			w.alone[strings.ToUpper(plain)] = wording{text: name, code: code}
		}
		if len(words) < 2 {
			continue
		}
		for i := range words { // Ada Quill; Quill, Ada; Quill Marsh, Ada
			turned := slices.Concat(words[i:], words[:i])
			w.add(turned, name, code)
			for _, at := range []int{0, len(turned) - 1} { // Ada Quills, as German has it
				owner := slices.Clone(turned)
				owner[at] += "s"
				w.add(owner, name, code)
			}
		}
		surname := words[len(words)-1]
		for _, title := range titles {
			w.add([]string{title, surname}, name, code)
		}
		if first, _ := utf8.DecodeRuneInString(words[0]); first != utf8.RuneError {
			w.add([]string{"initialdot" + string(first), surname}, name, code)
		}
		if joined := strings.Join(words, ""); utf8.RuneCountInString(joined) >= 8 {
			w.whole[joined] = wording{words: words, text: name, code: code}
		}
	}
}

// spellings are the ways that people and programs write a name: without its
// apostrophes, its initials, or its umlauts, each word for itself.
func spellings(name string) []string {
	plain := norm.NFC.String(name)
	out := []string{name}
	for _, form := range []string{plain, unquoted.Replace(plain)} {
		forms := []string{""}
		for i, word := range strings.Fields(form) {
			spelt := umlauts.Replace(word)
			var longer []string
			for _, f := range forms {
				longer = append(longer, f+" "+word)
				if spelt != word && i < 4 { // of 2⁴ spellings one will do
					longer = append(longer, f+" "+spelt)
				}
			}
			forms = longer
		}
		out = append(out, forms...)
		out = append(out, withoutInitials(form))
	}
	return out
}

// initial is a capital that stands alone between words.
var initial = regexp.MustCompile(`(^|\s)\p{Lu}\.?\s+`)

// titles go before a surname alone.
var titles = []string{"mr", "mrs", "ms", "miss", "frau", "herr", "herrn", "fraulein", "dr", "mme", "madame", "monsieur", "mlle"}

// dotted writes initials with a point as words that nothing else is, so that
// “A. Quill” is told from a quill.
func dotted(s string) string {
	if !strings.Contains(s, ".") {
		return s
	}
	return initialDot.ReplaceAllStringFunc(s, func(found string) string {
		return " initialdot" + strings.Trim(found, "(. \t\r\n") + " "
	})
}

var initialDot = regexp.MustCompile(`(?:^|[\s(])\pL\.\s*`)

// withoutInitials is a text without them: Ada J. Quill is Ada Quill.
func withoutInitials(s string) string {
	// Most texts have none, which is cheaper to see without the expression.
	for i := 0; i+1 < len(s); i++ {
		if s[i] >= 0x80 || s[i] >= 'A' && s[i] <= 'Z' && (s[i+1] == '.' || s[i+1] == ' ') {
			return initial.ReplaceAllString(s, "$1")
		}
	}
	return s
}

// forbidParts adds each word of a name that stands out as one, and two that are
// written as one. It is for the texts of a plate that its bearer is in; open
// holds the folded words that may be said there.
func (w *wordings) forbidParts(name, code string, open map[string]bool) {
	before := ""
	for _, part := range nameParts(name) {
		key := partKey(part)
		if open[key] {
			before = ""
			continue
		}
		found := wording{text: part, code: code}
		if runsOn(part) {
			w.runs = append(w.runs, found)
			continue
		}
		for _, k := range []string{key, partKey(umlauts.Replace(part)), before + key} {
			w.parts[k], w.parts[k+"s"] = found, found
		}
		before = key
	}
}

// nameParts are the words of a name that forbidParts looks at: of three letters,
// or of two where the name begins or ends (Jo March, Wei Li), and not in small
// letters. Scripts without capitals have two letters or more.
func nameParts(name string) []string {
	var out []string
	plain := norm.NFC.String(unseen.Replace(name))
	small := !strings.ContainsFunc(plain, unicode.IsUpper) // recorded without capitals: all words count
	for _, form := range []string{plain, unquoted.Replace(plain)} {
		parts := strings.FieldsFunc(form, notLetter)
		for i, part := range parts {
			first, _ := utf8.DecodeRuneInString(part)
			least := 3
			if runsOn(part) || (i == 0 || i == len(parts)-1) && !slices.Contains(notNames, partKey(part)) {
				least = 2
			}
			if utf8.RuneCountInString(part) >= least && (small || !unicode.IsLower(first)) && !slices.Contains(out, part) {
				out = append(out, part)
			}
		}
	}
	return out
}

// notNames are words of two letters that stand before or after a name.
var notNames = []string{"dr", "mr", "ms", "st", "jr", "sr", "ii", "iv"}

// partKey is a word as it is compared: without case, marks and strokes.
func partKey(word string) string { return strings.Join(fold(word), "") }

func notLetter(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsMark(r) }

// in gives the first thing that may not be said in one of the texts; ok is false
// if there is none.
func (w *wordings) in(texts []string) (wording, bool) { return w.find(texts, false) }

// inLabels is in for tags and ids, which are written small whatever they say: a
// word of a name counts there in small letters too, if it is the label's only one but for initials.
func (w *wordings) inLabels(texts []string) (wording, bool) { return w.find(texts, true) }

func (w *wordings) find(texts []string, labels bool) (found wording, ok bool) {
	for _, t := range texts {
		if t == "" {
			continue
		}
		for i, spelling := range []string{t, unquoted.Replace(t), html.UnescapeString(t), withoutInitials(t), dotted(t)} {
			if i > 0 && spelling == t {
				continue
			}
			if found, ok = w.phrase(fold(spelling)); ok {
				return found, true
			}
		}
		plain := norm.NFC.String(unseen.Replace(t))
		if found, ok = w.word(plain); ok {
			return found, true
		}
		if found, ok = w.part(plain, labels); ok {
			return found, true
		}
	}
	return wording{}, false
}

// phrase looks for the longest wording that begins at each word: what is inside
// one that may be said is passed over.
func (w *wordings) phrase(words []string) (wording, bool) {
	allowedTo := 0
	for i := range words {
		var longest wording
		short, long := w.from(words[i:])
		for _, list := range [][]wording{short, long} {
			for _, o := range list {
				longer := len(o.words) > len(longest.words) || len(o.words) == len(longest.words) && o.code == ""
				if longer && i+len(o.words) <= len(words) && slices.Equal(o.words, words[i:i+len(o.words)]) {
					longest = o
				}
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

// part looks for words of names. In small letters they are words of the
// language: a quill in the hand of Ada Quill is one.
func (w *wordings) part(text string, label bool) (wording, bool) {
	if len(w.parts) == 0 {
		return wording{}, false
	}
	for _, form := range []string{text, unquoted.Replace(text)} {
		words := strings.FieldsFunc(form, notLetter)
		long := 0
		for _, word := range words {
			if utf8.RuneCountInString(word) > 1 {
				long++
			}
		}
		for _, word := range words {
			if first, _ := utf8.DecodeRuneInString(word); unicode.IsLower(first) && !(label && long == 1) {
				continue
			}
			if found, ok := w.parts[partKey(word)]; ok {
				return found, true
			}
		}
	}
	return wording{}, false
}
