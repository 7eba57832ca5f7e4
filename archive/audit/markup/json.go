package markup

import (
	"strconv"
	"unicode/utf16"
	"unicode/utf8"
)

// JSON reads the keys, strings and numbers of JSON. It does not ask whether the
// whole is well formed: what is between quotes is a string.
func JSON(data []byte) *Text {
	t := &Text{size: len(data)}
	t.json(data, 0)
	return t
}

func (t *Text) json(data []byte, base int) {
	var name string
	for i := 0; i < len(data); {
		switch b := data[i]; {
		case b == '"':
			text, end := jsonString(data, i)
			next := end
			for next < len(data) && (data[next] == ' ' || data[next] == '\n' || data[next] == '\t' || data[next] == '\r') {
				next++
			}
			t.part(base + i)
			t.add(text, base+i+1)
			if next < len(data) && data[next] == ':' {
				name = string(text)
				t.field(Key, name, text, base+i)
			} else {
				t.field(Value, name, text, base+i)
			}
			i = end
		case b == '-' || '0' <= b && b <= '9' || 'A' <= b && b <= 'Z' || 'a' <= b && b <= 'z':
			end := i + 1
			for end < len(data) && data[end] != ',' && data[end] != '}' && data[end] != ']' && data[end] > ' ' && data[end] != '"' {
				end++
			}
			t.part(base + i)
			t.add(data[i:end], base+i)
			t.field(Value, name, data[i:end], base+i)
			i = end
		case b == '{' || b == '}' || b == '[' || b == ']' || b == ',' || b == ':' || b <= ' ':
			i++
		default: // not JSON, but here
			t.add(data[i:i+1], base+i)
			i++
		}
	}
	t.part(base + len(data))
}

// jsonString reads the string that begins at i with a quote: its text, and where
// it ends. Without an end it goes to the end of the data.
func jsonString(data []byte, i int) ([]byte, int) {
	i++
	from := i
	var out []byte
	for i < len(data) && data[i] != '"' {
		if data[i] != '\\' {
			i++
			continue
		}
		out = append(out, data[from:i]...)
		r, size := jsonEscape(data[i:])
		out = utf8.AppendRune(out, r)
		i += size
		from = i
	}
	i = min(i, len(data))
	if out == nil {
		return data[from:i], min(i+1, len(data))
	}
	return append(out, data[from:i]...), min(i+1, len(data))
}

// jsonEscape reads one escape (RFC 8259, section 7).
func jsonEscape(data []byte) (rune, int) {
	if len(data) < 2 {
		return '\\', 1
	}
	switch data[1] {
	case 'n':
		return '\n', 2
	case 't':
		return '\t', 2
	case 'r':
		return '\r', 2
	case 'b', 'f':
		return ' ', 2
	case 'u':
		r, ok := jsonUnit(data)
		if !ok {
			return 'u', 2
		}
		if utf16.IsSurrogate(r) && len(data) >= 12 {
			if low, ok := jsonUnit(data[6:]); ok {
				if both := utf16.DecodeRune(r, low); both != utf8.RuneError {
					return both, 12
				}
			}
		}
		return r, 6
	}
	r, size := utf8.DecodeRune(data[1:])
	return r, 1 + size
}

func jsonUnit(data []byte) (rune, bool) {
	if len(data) < 6 || data[0] != '\\' || data[1] != 'u' {
		return 0, false
	}
	n, err := strconv.ParseUint(string(data[2:6]), 16, 16)
	return rune(n), err == nil
}
