// Package markup takes from HTML, XML, SVG and JSON everything that a person or
// a program can read in them: text as it shows, attribute values, comments,
// scripts, keys and strings, with character references and escapes resolved; and
// the single values (fields) with their names. In go bytes, out comes a text
// with the way back to the source. It refuses nothing: what is broken gives what
// can be read. It imports none of ours.
//
// Only this package of the audit imports golang.org/x/net/html.
package markup

import (
	"bytes"
	"sort"
)

// Kind says what sort of value a field is.
type Kind uint8

const (
	Value Kind = iota // text of one element, one attribute, one string
	URL               // an address
	Key               // the name of a member of a JSON object
)

// Field is one value that stands for itself.
type Field struct {
	Kind  Kind
	Name  string // of attribute or member; of an element its tag, class and itemprop
	Value string
	At    int // place in the source
}

// Text is what a document says. Where a tag that does not part words stands
// between two letters ("Mar<b>garet</b>", but also two spans that a style sheet
// sets apart), Bytes has them joined, and Joints says where; Parted has them
// apart.
type Text struct {
	Bytes  []byte
	Fields []Field
	Joints []int // ascending places in Bytes
	pieces []piece
	asides []aside
	size   int // of the source
}

// aside is a text that stands between others without belonging to them: the
// attributes of a tag in the middle of a word.
type aside struct {
	text   []byte
	source int
}

// flush puts the asides behind the text, each a line of its own.
func (t *Text) flush() {
	for _, a := range t.asides {
		t.part(a.source)
		t.add(a.text, a.source)
	}
	t.asides = nil
}

// piece ties a stretch of the text to where it stands in the source.
type piece struct{ text, source int }

// Source gives the place in the source of a place in the text: exact for plain
// text, near it behind a character reference.
func (t *Text) Source(at int) int {
	i := sort.Search(len(t.pieces), func(i int) bool { return t.pieces[i].text > at }) - 1
	if i < 0 {
		return at
	}
	return min(t.pieces[i].source+at-t.pieces[i].text, t.size)
}

// Plain is a text without structure.
func Plain(data []byte) *Text { return &Text{Bytes: data} }

// add appends text that stands at source.
func (t *Text) add(text []byte, source int) {
	if len(text) == 0 {
		return
	}
	t.pieces = append(t.pieces, piece{len(t.Bytes), min(source, t.size)})
	t.Bytes = append(t.Bytes, text...)
}

// part appends a break between two things that do not belong together.
func (t *Text) part(source int) {
	if n := len(t.Bytes); n > 0 && t.Bytes[n-1] != '\n' {
		t.pieces = append(t.pieces, piece{n, min(source, t.size)})
		t.Bytes = append(t.Bytes, '\n')
	}
}

// Parted is the text with a space at every joint.
func (t *Text) Parted() *Text {
	out := &Text{Fields: t.Fields, size: t.size, Bytes: make([]byte, 0, len(t.Bytes)+len(t.Joints))}
	from, next := 0, 0
	for i, at := range append(t.Joints[:len(t.Joints):len(t.Joints)], len(t.Bytes)) {
		for ; next < len(t.pieces) && t.pieces[next].text < at; next++ {
			out.pieces = append(out.pieces, piece{t.pieces[next].text + i, t.pieces[next].source})
		}
		out.Bytes = append(append(out.Bytes, t.Bytes[from:at]...), ' ')
		from = at
	}
	return out
}

func (t *Text) field(kind Kind, name string, value []byte, at int) {
	if value = bytes.TrimSpace(value); len(value) > 0 {
		t.Fields = append(t.Fields, Field{kind, name, string(value), min(at, t.size)})
	}
}
