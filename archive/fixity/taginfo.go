package fixity

import (
	"fmt"
	"regexp"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	xunicode "golang.org/x/text/encoding/unicode"
)

// Label is one line of a bag's bag-info.txt.
type Label struct{ Name, Value string }

// declaration is the whole of bagit.txt in the bags made here.
const declaration = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"

var (
	versionLine  = regexp.MustCompile(`^BagIt-Version: (\d+)\.(\d+)$`)
	encodingLine = regexp.MustCompile(`^Tag-File-Character-Encoding: (\S+)$`)
)

// parseDeclaration reads bagit.txt: two lines, one space behind each colon and
// none before it, no byte-order mark (RFC 8493, section 2.1.1).
func parseDeclaration(text []byte) (version string, decode func([]byte) (string, error), err error) {
	if !utf8.Valid(text) {
		return "", nil, fmt.Errorf("bagit.txt is not UTF-8")
	}
	all := lines(string(text))
	if len(all) != 2 {
		return "", nil, fmt.Errorf("bagit.txt has %d lines, it must have two", len(all))
	}
	v := versionLine.FindStringSubmatch(all[0])
	if v == nil {
		return "", nil, fmt.Errorf("bagit.txt begins with %q, accepted is \"BagIt-Version: 1.0\"", all[0])
	}
	e := encodingLine.FindStringSubmatch(all[1])
	if e == nil {
		return "", nil, fmt.Errorf("line 2 of bagit.txt is %q, accepted is \"Tag-File-Character-Encoding: UTF-8\"", all[1])
	}
	version = v[1] + "." + v[2]
	if version != "1.0" && version != "0.97" {
		return version, nil, fmt.Errorf("the bag is of version %s; 1.0 and 0.97 are known", version)
	}
	decode, err = decoder(e[1])
	return version, decode, err
}

// decoder reads tag files in the encodings that bags are made in.
func decoder(name string) (func([]byte) (string, error), error) {
	var e encoding.Encoding
	switch strings.ToUpper(name) {
	case "UTF-8":
		return func(text []byte) (string, error) {
			if !utf8.Valid(text) {
				return "", fmt.Errorf("it is not UTF-8")
			}
			return string(text), nil
		}, nil
	case "UTF-16":
		e = xunicode.UTF16(xunicode.BigEndian, xunicode.UseBOM)
	case "UTF-16BE":
		e = xunicode.UTF16(xunicode.BigEndian, xunicode.IgnoreBOM)
	case "UTF-16LE":
		e = xunicode.UTF16(xunicode.LittleEndian, xunicode.IgnoreBOM)
	case "ISO-8859-1", "US-ASCII", "ASCII":
		e = charmap.ISO8859_1
	default:
		return nil, fmt.Errorf("tag files in %s cannot be read; UTF-8, UTF-16 and ISO-8859-1 can", name)
	}
	return func(text []byte) (string, error) {
		out, err := e.NewDecoder().Bytes(text)
		return string(out), err
	}, nil
}

// parseInfo reads bag-info.txt: a label, a colon, a value; a line that begins with
// white space goes on with the value before (RFC 8493, section 2.2.2).
func parseInfo(text string) ([]Label, error) {
	var out []Label
	for i, line := range lines(text) {
		if strings.TrimSpace(line) == "" {
			continue
		}
		if line[0] == ' ' || line[0] == '\t' {
			if len(out) == 0 {
				return nil, fmt.Errorf("line %d of bag-info.txt goes on with nothing", i+1)
			}
			out[len(out)-1].Value += " " + strings.TrimSpace(line)
			continue
		}
		name, value, ok := strings.Cut(line, ":")
		if !ok || strings.TrimSpace(name) == "" {
			return nil, fmt.Errorf("line %d of bag-info.txt is %.40q, accepted is a label, a colon and a value", i+1, line)
		}
		out = append(out, Label{strings.TrimSpace(name), strings.TrimSpace(value)})
	}
	return out, nil
}

// writeInfo gives the text of bag-info.txt. Line breaks in a value become spaces.
func writeInfo(info []Label) (string, error) {
	var b strings.Builder
	for _, l := range info {
		if l.Name == "" || strings.ContainsAny(l.Name, ":\r\n") || l.Name != strings.TrimSpace(l.Name) {
			return "", fmt.Errorf("a bag cannot have the label %q", l.Name)
		}
		fmt.Fprintf(&b, "%s: %s\n", l.Name, strings.Join(strings.Fields(l.Value), " "))
	}
	return b.String(), nil
}
