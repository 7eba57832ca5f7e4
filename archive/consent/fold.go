package consent

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// strokes are letters that Unicode does not take apart although people type the
// plain ones for them.
var strokes = strings.NewReplacer("ß", "ss", "ẞ", "ss", "æ", "ae", "Æ", "ae", "œ", "oe", "Œ", "oe", "ø", "o", "Ø", "o", "ł", "l", "Ł", "l",
	"đ", "d", "Đ", "d", "ð", "d", "Ð", "d", "þ", "th", "Þ", "th", "ħ", "h", "Ħ", "h", "ŧ", "t", "Ŧ", "t", "ı", "i")

// unseen are signs that do not show: soft hyphen, zero-width spaces and
// joiners. A name is the same with them.
var unseen = strings.NewReplacer("\u00ad", "", "\u200b", "", "\u200c", "", "\u200d", "", "\u2060", "", "\ufeff", "")

// unquoted joins what an apostrophe parts, so that O'Hara is found as OHara too;
// fold alone parts it, so that a possessive does not hide the name before it.
var unquoted = strings.NewReplacer("'", "", "’", "", "ʼ", "")

// umlauts are spelt out as addresses and machines without them have it.
var umlauts = strings.NewReplacer("ä", "ae", "ö", "oe", "ü", "ue", "Ä", "Ae", "Ö", "Oe", "Ü", "Ue")

// fold gives the words of a text, in lower case and without marks.
func fold(s string) []string {
	if isASCII(s) {
		return foldASCII(s)
	}
	return foldAny(s)
}

func foldAny(s string) []string {
	var words []string
	var b strings.Builder
	flush := func() {
		if b.Len() > 0 {
			words = append(words, b.String())
			b.Reset()
		}
	}
	for _, r := range norm.NFKD.String(strokes.Replace(unseen.Replace(s))) {
		switch {
		case unicode.IsMark(r):
		case unicode.IsLetter(r) || unicode.IsNumber(r):
			b.WriteRune(unicode.ToLower(r))
		default:
			flush()
		}
	}
	flush()
	return words
}

func isASCII(s string) bool {
	for i := range len(s) {
		if s[i] >= utf8.RuneSelf {
			return false
		}
	}
	return true
}

// foldASCII is fold for what most texts are, which has nothing to be taken apart.
func foldASCII(s string) []string {
	alone := func(r rune) bool { return !('a' <= r && r <= 'z' || '0' <= r && r <= '9') }
	return strings.FieldsFunc(strings.ToLower(s), alone)
}

func folded(s string) string { return strings.Join(fold(s), " ") }

// runsOn says whether a text is in a script that puts no space between words.
func runsOn(s string) bool {
	return strings.ContainsFunc(s, func(r rune) bool {
		return unicode.In(r, unicode.Han, unicode.Hiragana, unicode.Katakana, unicode.Hangul, unicode.Thai, unicode.Lao, unicode.Khmer, unicode.Myanmar)
	})
}
