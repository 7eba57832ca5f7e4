// Package unwrap takes the encodings off bytes, so that what is written in them
// can be read: percent, character references, the escapes of JSON, scripts and
// style sheets, base64, hexadecimal, lists of decimal numbers, UTF-16, gzip,
// zlib, raw deflate and ZIP. In go bytes, out come bytes, bounded in size; it
// never fails on what it cannot read, it gives nothing. It imports none of ours.
package unwrap

import (
	"bytes"
	"html"
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// margin is how many bytes of plain text on either side of an escape belong to
// it: enough for the rest of a name or of a quotation.
const margin = 160

// begins says whether an escape may begin at i.
func begins(text []byte, i int) bool {
	if i+2 >= len(text) {
		return false
	}
	next := text[i+1]
	switch text[i] {
	case '%', '=':
		return hexDigit(next) >= 0 && hexDigit(text[i+2]) >= 0 || text[i] == '=' && (next == '\n' || next == '\r')
	case '&':
		return next == '#' || 'a' <= next|0x20 && next|0x20 <= 'z'
	case '\\':
		return next|0x20 == 'u' || next|0x20 == 'x' || hexDigit(next) >= 0
	}
	return false
}

// Passage is a piece of a text with its escapes taken off.
type Passage struct {
	At   int    // where in the text it begins
	Text []byte // UTF-8
	// Raw is Text with each escape of a value below 256 as one byte, for
	// escapes that spell bytes; nil if that is the same.
	Raw []byte
	// Lead and Tail are how many bytes at the beginning and at the end of Text
	// stand in the text as they are: the margins, cut off anywhere.
	Lead, Tail int
}

// Escapes gives the passages of text that hold escapes, each with some of the
// text around it, decoded until nothing changes, at most five times.
func Escapes(text []byte) []Passage {
	var out []Passage
	from, to := -1, -1
	flush := func() {
		if from < 0 {
			return
		}
		if p, changed := decode(text[from:to]); changed {
			p.At = from
			out = append(out, p)
		}
	}
	for i, b := range text {
		if b != '%' && b != '&' && b != '\\' && b != '=' || !begins(text, i) {
			continue
		}
		if from < 0 || i-margin > to {
			flush()
			from = boundary(text, max(i-margin, 0))
		}
		to = min(i+3+margin, len(text))
	}
	flush()
	return out
}

// boundary moves a place to the beginning of a rune.
func boundary(text []byte, at int) int {
	for at < len(text) && !utf8.RuneStart(text[at]) {
		at++
	}
	return at
}

// decode takes escapes off in layers: one encoding may lie inside another.
func decode(text []byte) (Passage, bool) {
	p := Passage{Text: layers(text, false)}
	if bytes.IndexByte(text, '\\') >= 0 || !bytes.Equal(p.Text, text) && bytes.IndexByte(p.Text, '\\') >= 0 {
		if raw := layers(text, true); !bytes.Equal(raw, p.Text) {
			p.Raw = raw
		}
	}
	least := min(len(text), len(p.Text))
	for p.Lead < least && p.Text[p.Lead] == text[p.Lead] {
		p.Lead++
	}
	for p.Tail < least-p.Lead && p.Text[len(p.Text)-1-p.Tail] == text[len(text)-1-p.Tail] {
		p.Tail++
	}
	return p, p.Raw != nil || !bytes.Equal(p.Text, text)
}

func layers(text []byte, asBytes bool) []byte {
	for range 5 {
		next := references(percent(quotedPrintable(backslashes(text, asBytes))))
		if bytes.Equal(next, text) {
			break
		}
		text = next
	}
	return text
}

// percent decodes %XX (RFC 3986) wherever it stands.
func percent(text []byte) []byte {
	if bytes.IndexByte(text, '%') < 0 {
		return text
	}
	return hexPairs(text, '%')
}

// quotedPrintable decodes =XX and soft line breaks (RFC 2045).
func quotedPrintable(text []byte) []byte {
	if bytes.IndexByte(text, '=') < 0 {
		return text
	}
	text = bytes.ReplaceAll(text, []byte("=\r\n"), nil)
	text = bytes.ReplaceAll(text, []byte("=\n"), nil)
	return hexPairs(text, '=')
}

func hexPairs(text []byte, sign byte) []byte {
	out := make([]byte, 0, len(text))
	for i := 0; i < len(text); i++ {
		if text[i] == sign && i+2 < len(text) {
			if hi, lo := hexDigit(text[i+1]), hexDigit(text[i+2]); hi >= 0 && lo >= 0 {
				out = append(out, byte(hi<<4|lo))
				i += 2
				continue
			}
		}
		out = append(out, text[i])
	}
	return out
}

func hexDigit(b byte) int {
	switch {
	case '0' <= b && b <= '9':
		return int(b - '0')
	case 'a' <= b && b <= 'f':
		return int(b-'a') + 10
	case 'A' <= b && b <= 'F':
		return int(b-'A') + 10
	}
	return -1
}

// references decodes character references (HTML).
func references(text []byte) []byte {
	if bytes.IndexByte(text, '&') < 0 {
		return text
	}
	return []byte(html.UnescapeString(string(text)))
}

// backslashes decodes \uXXXX (with surrogate pairs), \u{…}, \UXXXXXXXX, \xXX,
// and the \XXXXXX of style sheets. With asBytes values below 256 become bytes.
func backslashes(text []byte, asBytes bool) []byte {
	if bytes.IndexByte(text, '\\') < 0 {
		return text
	}
	out := make([]byte, 0, len(text))
	var pending rune // the first half of a surrogate pair
	for i := 0; i < len(text); {
		value, size := backslash(text[i:])
		if size == 0 {
			out = append(out, text[i])
			i, pending = i+1, 0
			continue
		}
		i += size
		if pending != 0 {
			if both := utf16.DecodeRune(pending, value); both != utf8.RuneError {
				value, pending = both, 0
			}
		}
		if utf16.IsSurrogate(value) {
			pending = value
			continue
		}
		pending = 0
		if asBytes && value < 256 {
			out = append(out, byte(value))
		} else {
			out = utf8.AppendRune(out, value)
		}
	}
	return out
}

// backslash reads one escape at the start of text: its value and length, or 0.
func backslash(text []byte) (rune, int) {
	if len(text) < 2 || text[0] != '\\' {
		return 0, 0
	}
	switch text[1] {
	case 'u':
		if len(text) > 2 && text[2] == '{' {
			if end := bytes.IndexByte(text[:min(len(text), 12)], '}'); end > 3 {
				return number(text[3:end], end+1)
			}
			return 0, 0
		}
		return fixed(text, 4)
	case 'U':
		return fixed(text, 8)
	case 'x', 'X':
		return fixed(text, 2)
	}
	n := 0
	for n < 6 && 1+n < len(text) && hexDigit(text[1+n]) >= 0 {
		n++
	}
	if n < 2 {
		return 0, 0
	}
	value, size := number(text[1:1+n], 1+n)
	if size > 0 && size < len(text) && text[size] == ' ' {
		size++ // the blank that ends an escape in a style sheet
	}
	return value, size
}

func fixed(text []byte, digits int) (rune, int) {
	if len(text) < 2+digits {
		return 0, 0
	}
	return number(text[2:2+digits], 2+digits)
}

func number(digits []byte, size int) (rune, int) {
	value, err := strconv.ParseUint(string(digits), 16, 32)
	if err != nil || value > utf8.MaxRune {
		return 0, 0
	}
	return rune(value), size
}
