package search

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// strokes are the letters that Unicode does not decompose although a reader
// without them on the keyboard types the plain ones, and the signs that are
// written in more than one way. fold.mjs has the same table.
var strokes = strings.NewReplacer(
	"ß", "ss", "æ", "ae", "œ", "oe", "ø", "o", "ł", "l", "đ", "d", "ð", "d",
	"þ", "th", "ħ", "h", "ŧ", "t", "ı", "i", "ς", "σ",
	"’", "'", "ʼ", "'", "ʻ", "'", "‐", "-",
)

// Fold brings text to the form in which it is compared: compatibility
// decomposition (NFKD, Unicode Standard Annex 15), marks removed, lower case,
// and a few letters with strokes or ligatures written out. It is idempotent.
func Fold(text string) string {
	decomposed := norm.NFKD.String(text)
	lower := strings.Map(func(r rune) rune {
		if r >= 0x80 && unicode.Is(unicode.M, r) {
			return -1
		}
		return unicode.ToLower(r)
	}, decomposed)
	return strokes.Replace(lower)
}

// Words cuts folded text into words: runs of letters and numbers, in order,
// with repeats. Everything else separates.
func Words(folded string) []string {
	return strings.FieldsFunc(folded, func(r rune) bool { return !inWord(r) })
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsNumber(r) }

// terms gives the words of a text as they are indexed: each word, and for
// words joined by an apostrophe or a hyphen also the whole without the joiner,
// so that "O'Hara" is found as "o'hara", "hara" and "ohara", and "lock-keeper"
// as "lockkeeper".
func terms(text string, add func(term string)) {
	folded := Fold(text)
	for _, w := range Words(folded) {
		add(w)
	}
	if !strings.ContainsAny(folded, "'-") {
		return
	}
	joined(folded, "'", add)
	joined(folded, "'-", add)
}

// joined adds every chain of words linked by single joiners, as one word.
func joined(folded, joiners string, add func(term string)) {
	var chain strings.Builder
	links, last := 0, ' '
	end := func() {
		if links > 0 {
			add(chain.String())
		}
		chain.Reset()
		links = 0
	}
	for _, r := range folded {
		switch {
		case inWord(r):
			if chain.Len() > 0 && !inWord(last) {
				links++
			}
			chain.WriteRune(r)
		case !strings.ContainsRune(joiners, r) || !inWord(last):
			end()
		}
		last = r
	}
	end()
}
