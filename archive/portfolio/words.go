package portfolio

import (
	"cmp"
	"fmt"
	"io/fs"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
)

// wordsDir holds a file of words for each language: those of all sites, so that
// a language is one file to translate.
const wordsDir = "shared/i18n"

// words are the plain strings of a language file, by key.
type words map[string]string

// languageFor picks the file for a BCP 47 tag: its primary language if there
// is such a file, English otherwise.
func languageFor(templates fs.FS, tag string) string {
	primary, _, _ := strings.Cut(strings.ToLower(cmp.Or(tag, "en")), "-")
	if _, err := fs.Stat(templates, wordsDir+"/"+primary+".toml"); err != nil {
		return "en"
	}
	return primary
}

func readWords(templates fs.FS, language string) (words, error) {
	name := wordsDir + "/" + language + ".toml"
	body, err := fs.ReadFile(templates, name)
	if err != nil {
		return nil, fmt.Errorf("reading the words of the site: %w", err)
	}
	w := words{}
	if err := toml.Unmarshal(body, &w); err != nil {
		return nil, fmt.Errorf("reading %s: %w", name, err)
	}
	return w, nil
}

// say is the words of a key with {name} placeholders filled from pairs. A key
// that is missing shows itself, so that it is seen and mended.
func (w words) say(key string, pairs ...string) string {
	text, ok := w[key]
	if !ok {
		return key
	}
	for i := 0; i+1 < len(pairs); i += 2 {
		pairs[i] = "{" + pairs[i] + "}"
	}
	return strings.NewReplacer(pairs...).Replace(text)
}

// inside is a name as it stands within a line: English lowers its capital,
// German does not.
func (w words) inside(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	if w["lower_inside"] != "yes" || size == 0 {
		return name
	}
	return string(unicode.ToLower(first)) + name[size:]
}

// number writes a number as short as it can be read back to digits decimals,
// with the language's decimal mark.
func (w words) number(v float64, digits int) string {
	s := strings.TrimRight(strings.TrimRight(fmt.Sprintf("%.*f", digits, v), "0"), ".")
	if digits == 0 {
		s = fmt.Sprintf("%.0f", v)
	}
	return strings.Replace(s, ".", cmp.Or(w["decimal_mark"], "."), 1)
}
