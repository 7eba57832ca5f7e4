package record

import (
	"slices"
	"strings"
	"unicode"
)

// kind is what a front matter value is, whatever notation it was written in.
type kind int

const (
	scalar kind = iota
	list
	table
	null
)

// value is a front matter value with its line in the file. Text is the value as
// written (`012` stays `012`); quoted says it was written as text, so that a
// number or a truth value must not be read from it.
type value struct {
	kind    kind
	line    int
	text    string
	quoted  bool
	list    []value
	entries []entry
}

type entry struct {
	key   string
	line  int
	value value
}

// kindBelow is the kind of record whose key stands below the first one; "" if
// none does.
func (v value) kindBelow() string {
	for _, e := range v.entries {
		if slices.Contains(recordKinds, e.key) {
			return e.key
		}
	}
	return ""
}

// describe is the value as it is shown in a message.
func (v value) describe() string {
	switch v.kind {
	case list:
		return "a list"
	case table:
		return "a group of keys"
	case null:
		return "nothing"
	}
	if v.quoted {
		return "the text “" + clip(v.text) + "”"
	}
	return "“" + clip(v.text) + "”"
}

// clip keeps a message readable when a value is not.
func clip(s string) string {
	const most = 60
	r := []rune(strings.ToValidUTF8(s, "\uFFFD"))
	for i, c := range r {
		if Unseen(c) {
			r[i] = ' '
		}
	}
	if len(r) > most {
		return string(r[:most]) + "…"
	}
	return string(r)
}

// Unseen says of a character that it does not show, breaks lines or turns their
// direction: nothing that a name or a message needs. Texts may hold line feeds
// and tabs all the same.
func Unseen(c rune) bool {
	return unicode.IsControl(c) || c >= 0x202a && c <= 0x202e || c >= 0x2066 && c <= 0x2069 || c == 0x2028 || c == 0x2029
}
