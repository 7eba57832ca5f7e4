package templates

import (
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"golang.org/x/net/html"
)

// action is a template's {{…}}; quoted is a text inside one.
var (
	action     = regexp.MustCompile(`(?s)\{\{.*?\}\}`)
	unscripted = regexp.MustCompile(`</?noscript>`) // what is inside is read as text otherwise
	note       = regexp.MustCompile(`(?s)\{\{-?\s*/\*.*?\*/\s*-?\}\}`)
	quoted     = regexp.MustCompile("\"((?:[^\"\\\\]|\\\\.)*)\"|`([^`]*)`")
)

// notWords are texts inside actions that have a space and are not language:
// markup, patterns, paths of drawings, and the terms of vocabularies that are English by their
// standard.
var notWords = regexp.MustCompile(`^(<\??[a-z!].*|wet-plate collodion|[, .:]+|\S*%\S* ?\S*%\S*|%s: %s\.?|data-\S+=.*|[Mm][-0-9MmHhVvLlZz. ]+)$`)

// TestNoWordIsInALayout: every word that a visitor reads comes from the language
// file. Layouts hold markup and keys.
func TestNoWordIsInALayout(t *testing.T) {
	seen := 0
	err := fs.WalkDir(Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.Contains(name, "layouts/") || strings.HasPrefix(name, "benchbook/") {
			return err
		}
		body, err := fs.ReadFile(Files, name)
		if err != nil {
			return err
		}
		seen++
		for _, found := range literals(path.Ext(name), string(body)) {
			t.Errorf("%s: %s", name, found)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 40 {
		t.Errorf("only %d layouts were read", seen)
	}
}

// TestLiteralsAreFound proves the reader of the test above.
func TestLiteralsAreFound(t *testing.T) {
	for layout, want := range map[string]int{
		`<p>{{ i18n "a_key" }}</p>`:                                 0,
		`<p>Hello {{ .Name }}</p>`:                                  1,
		`<img alt="A plate" src="x y.jpg">`:                         1,
		`<button aria-label="{{ i18n "close" }}">×</button>`:        0,
		`<input placeholder="Words {{ .x }}">`:                      1,
		`<p>{{ cond .x "Two words" "" }}</p>`:                       1,
		`{{- /* A comment says what it does. */ -}}<p>{{ .x }}</p>`: 0,
		`<svg viewBox="0 0 1 1" role="img"></svg>`:                  0,
		`<script>const word = 1;</script><style>p { x: y }</style>`: 0,
	} {
		if got := literals(".html", layout); len(got) != want {
			t.Errorf("%s: %q, want %d", layout, got, want)
		}
	}
}

// literals gives the words that stand in a layout: in its text, in the
// attributes that are read out, and in the texts of its actions.
func literals(ext, layout string) (out []string) {
	layout = unscripted.ReplaceAllString(note.ReplaceAllString(layout, ""), "")
	for _, a := range action.FindAllString(layout, -1) {
		for _, m := range quoted.FindAllStringSubmatch(a, -1) {
			text := m[1] + m[2]
			if strings.Contains(strings.TrimSpace(text), " ") && hasLetter(text) && !notWords.MatchString(text) {
				out = append(out, fmt.Sprintf("%q in %s", text, a))
			}
		}
	}
	if ext != ".html" {
		return out
	}
	raw := false
	z := html.NewTokenizer(strings.NewReader(action.ReplaceAllString(layout, "")))
	for {
		switch z.Next() {
		case html.ErrorToken:
			return out
		case html.TextToken:
			if text := strings.TrimSpace(string(z.Text())); hasLetter(text) && !raw {
				out = append(out, fmt.Sprintf("%q", text))
			}
		case html.StartTagToken, html.SelfClosingTagToken:
			token := z.Token()
			raw = token.Data == "script" || token.Data == "style"
			for _, a := range token.Attr {
				switch a.Key {
				case "alt", "title", "aria-label", "aria-description", "placeholder", "label":
					if hasLetter(a.Val) && a.Val != "IIIF" { // a name in every language
						out = append(out, fmt.Sprintf("%s=%q", a.Key, a.Val))
					}
				}
			}
		case html.EndTagToken:
			raw = false
		}
	}
}

func hasLetter(s string) bool { return strings.ContainsFunc(s, unicode.IsLetter) }
