package markup

import (
	"bytes"
	"strings"

	"golang.org/x/net/html"
	"golang.org/x/net/html/atom"
)

// inline are the elements that do not part a word from the next.
var inline = map[string]bool{
	"a": true, "abbr": true, "b": true, "bdi": true, "bdo": true, "cite": true, "code": true, "data": true, "dfn": true, "em": true,
	"font": true, "i": true, "ins": true, "del": true, "kbd": true, "mark": true, "q": true, "s": true, "samp": true, "small": true, "span": true,
	"strong": true, "sub": true, "sup": true, "time": true, "tspan": true, "u": true, "var": true, "wbr": true,
}

// addresses are the attributes that hold a URL.
var addresses = map[string]bool{
	"href": true, "src": true, "srcset": true, "action": true, "poster": true, "xlink:href": true, "data-src": true, "formaction": true, "cite": true,
}

// depth is how often text inside text is read as markup again.
const depth = 3

// HTML reads HTML; and XML and SVG well enough for every character in them to
// be seen.
func HTML(data []byte) *Text {
	t := &Text{size: len(data)}
	t.markup(data, 0, depth)
	t.flush()
	return t
}

// reader is the state between two tokens.
type reader struct {
	*Text
	name   string // of the element whose text comes next
	script bool   // that text is JSON
	joined bool   // a tag that does not part words stood before it
	depth  int
}

func (t *Text) markup(data []byte, base, depth int) {
	z := html.NewTokenizer(bytes.NewReader(data))
	z.SetMaxBuf(0)
	z.AllowCDATA(true)
	r := &reader{Text: t, depth: depth}
	at := base
	for {
		kind := z.Next()
		if kind == html.ErrorToken {
			// What the tokenizer gives up on (an unfinished tag) is text all the same.
			if rest := at - base; rest < len(data) {
				t.part(at)
				t.add(data[rest:], at)
			}
			return
		}
		size := len(z.Raw())
		switch kind {
		case html.TextToken:
			r.text(z.Text(), at)
		case html.StartTagToken, html.SelfClosingTagToken:
			r.start(z, at)
		case html.EndTagToken:
			tag, _ := z.TagName()
			r.tag(string(tag), at)
			r.name, r.script = "", false
		default: // comments, doctypes, processing instructions
			t.part(at)
			t.add(z.Text(), at)
			t.part(at)
		}
		at += size
	}
}

func (r *reader) text(text []byte, at int) {
	r.field(Value, r.name, text, at)
	switch {
	case r.script:
		r.json(text, at)
	case r.depth > 0 && bytes.IndexByte(text, '<') >= 0 && bytes.IndexByte(text, '>') >= 0:
		// Feeds carry HTML as text; what is in angle brackets may be plain words.
		r.aside(bytes.Clone(text), at)
		r.part(at)
		r.markup(text, at, r.depth-1)
		r.part(at)
	default:
		if n := len(r.Bytes); r.joined && n > 0 && len(text) > 0 && !space(r.Bytes[n-1]) && !space(text[0]) {
			r.Joints = append(r.Joints, n)
		}
		r.add(text, at)
	}
	r.joined = false
}

func space(b byte) bool { return b == ' ' || b == '\n' || b == '\t' || b == '\r' || b == '\f' }

// tag notes a tag between two texts.
func (r *reader) tag(name string, at int) {
	if inline[name] {
		r.joined = true
	} else {
		r.part(at)
	}
}

// start reads a start tag. Its attributes become lines of their own after the
// text so far, so that they do not part the words they stand between.
func (r *reader) start(z *html.Tokenizer, at int) {
	tag, more := z.TagName()
	name := string(tag)
	r.tag(name, at)
	if atom.Lookup(tag) == 0 {
		r.aside([]byte(name), at)
	}
	r.name, r.script = name, false
	var media string
	for more {
		var key, value []byte
		key, value, more = z.TagAttr()
		attribute := string(key)
		kind := Value
		if addresses[attribute] {
			kind = URL
		}
		r.field(kind, attribute, value, at)
		switch attribute {
		case "class", "itemprop":
			r.name += " " + string(value)
		case "type":
			media = string(value)
		case "srcdoc":
			r.nested(value, at)
		}
		r.aside(append(append(append([]byte{}, key...), ' '), value...), at)
	}
	r.script = name == "script" && strings.Contains(media, "json")
}

// asides are kept apart until the text ends, since a start tag may stand in the
// middle of a word.
func (r *reader) aside(text []byte, at int) { r.Text.asides = append(r.Text.asides, aside{text, at}) }

func (r *reader) nested(text []byte, at int) {
	if r.depth > 0 {
		inner := &Text{size: r.size}
		inner.markup(bytes.Clone(text), at, r.depth-1)
		inner.flush()
		r.aside(inner.Bytes, at)
		r.Fields = append(r.Fields, inner.Fields...)
	}
}
