package record

import (
	"bytes"
	"errors"
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/adrg/frontmatter"
)

// blockMost bounds the front matter of one record, in bytes. A record needs a
// few kilobytes; parsing is superlinear in what hostile files hold.
const blockMost = 256 << 10

// errNoBlock says that a file has no front matter: it is not a record.
var errNoBlock = errors.New("no front matter")

// block is the front matter of one file.
type block struct {
	root     value
	body     string
	bodyLine int
}

// splitter is one notation: how its block begins and ends, and who parses it.
type splitter struct {
	name, start, end string
	json             bool
	parse            func([]byte) (value, error)
}

var splitters = []splitter{
	{name: "YAML", start: "---", end: "---", parse: parseYAML},
	{name: "TOML", start: "+++", end: "+++", parse: parseTOML},
	{name: "JSON", start: "{", end: "}", json: true, parse: parseYAML},
}

// splitBlock finds the front matter of a file and parses it. Lines of the
// result count from the top of the file.
func splitBlock(data []byte) (block, error) {
	if bytes.HasPrefix(data, []byte{0xFE, 0xFF}) || bytes.HasPrefix(data, []byte{0xFF, 0xFE}) {
		return block{}, &syntaxError{1, "the file is in UTF-16", "save it as UTF-8"}
	}
	data = bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF"))
	if bytes.IndexByte(data, '\n') < 0 && bytes.IndexByte(data, '\r') >= 0 {
		if _, _, ok := detect(bytes.ReplaceAll(data, []byte("\r"), []byte("\n"))); ok {
			return block{}, &syntaxError{1, "its lines end in CR alone, as on an old Macintosh", "save it with the usual line ends (LF, or CR LF)"}
		}
	}
	s, before, ok := detect(data)
	if !ok {
		return block{}, errNoBlock
	}
	if i := bytes.IndexByte(data, 0); i >= 0 {
		return block{}, &syntaxError{1 + bytes.Count(data[:i], []byte("\n")), "a NUL byte stands in the record", "save the record as plain text"}
	}
	var raw []byte
	format := frontmatter.NewFormat(s.start, s.end, func(b []byte, _ any) error {
		raw = bytes.Clone(b)
		return nil
	})
	format.UnmarshalDelims, format.RequiresNewLine = s.json, s.json
	var sink struct{}
	body, err := frontmatter.MustParse(bytes.NewReader(data), &sink, format)
	if errors.Is(err, frontmatter.ErrNotFound) {
		return block{}, unclosed(s, before)
	}
	if err != nil {
		return block{}, &syntaxError{before + 1, err.Error(), "check the lines that open and close the record"}
	}
	if len(raw) > blockMost {
		return block{}, &syntaxError{before + 1, fmt.Sprintf("the record's keys fill %d KB", len(raw)>>10), fmt.Sprintf("keep them under %d KB; long notes belong below the closing line", blockMost>>10)}
	}
	first := before + 1 // the line in the file of the block's line 1, less one
	if s.json {
		first = before
	}
	end := first + bytes.Count(raw, []byte("\n"))
	if err := endsEarly(s, data, end+1, body); err != nil {
		return block{}, err
	}
	if at := invalidAt(raw); at >= 0 {
		return block{}, &syntaxError{first + 1 + bytes.Count(raw[:at], []byte("\n")), "this line holds bytes that are no UTF-8 text", "save the file as UTF-8 and type the text again"}
	}
	root, err := s.parse(raw)
	if err != nil {
		var se *syntaxError
		if errors.As(err, &se) {
			return block{}, &syntaxError{se.line + first, s.name + ": " + se.message, se.remedy}
		}
		return block{}, err
	}
	shift(&root, first)
	return block{root: root, body: strings.ToValidUTF8(string(body), "\uFFFD"), bodyLine: end + 2}, nil
}

// invalidAt is where text stops being UTF-8, or −1. The parser would put another
// sign there without a word.
func invalidAt(text []byte) int {
	for at := 0; at < len(text); {
		r, size := utf8.DecodeRune(text[at:])
		if r == utf8.RuneError && size == 1 {
			return at
		}
		at += size
	}
	return -1
}

// detect names the notation by the first line that is not blank, and counts the
// lines before it.
func detect(data []byte) (splitter, int, bool) {
	rest := data
	for before := 0; len(rest) > 0; before++ {
		line, after, _ := bytes.Cut(rest, []byte("\n"))
		text := strings.TrimSpace(string(line))
		rest = after
		if text == "" {
			continue
		}
		for _, s := range splitters {
			if text == s.start || s.json && strings.HasPrefix(text, "{") {
				return s, before, true
			}
		}
		return splitter{}, before, false
	}
	return splitter{}, 0, false
}

func unclosed(s splitter, before int) error {
	if s.json {
		return &syntaxError{before + 1, "the JSON record is not closed as a record", "put { alone on the first line, } alone on the last, and an empty line after it"}
	}
	return &syntaxError{before + 1, fmt.Sprintf("the record opened by %s is never closed", s.start), fmt.Sprintf("put %s alone on a line after the last key", s.end)}
}

// endsEarly catches the library ending a block too soon: at an indented
// delimiter (it belongs to a text), or at a delimiter after which keys go on.
func endsEarly(s splitter, data []byte, endLine int, body []byte) error {
	if s.json {
		if first := firstLine(body); strings.HasPrefix(first, `"`) || strings.HasPrefix(first, "}") || strings.HasPrefix(first, "]") {
			return &syntaxError{endLine, "an empty line after a } ends the JSON record here, and more of it follows", "remove the empty lines inside the record"}
		}
		return nil
	}
	lines := bytes.Split(data, []byte("\n"))
	if endLine-1 < len(lines) {
		if l := bytes.TrimRight(lines[endLine-1], " \t\r"); len(l) > 0 && (l[0] == ' ' || l[0] == '\t') {
			return &syntaxError{endLine, fmt.Sprintf("an indented %s ends the record here", s.end), fmt.Sprintf("use other characters for a rule inside a text; %s ends the record wherever it stands alone", s.end)}
		}
	}
	key := firstLine(body)
	if !looksLikeKey(s, key) {
		return nil
	}
	for _, l := range bytes.Split(body, []byte("\n")) {
		if string(bytes.TrimRight(l, " \t\r")) == s.end {
			return &syntaxError{endLine, fmt.Sprintf("%s ends the record here, but keys seem to go on below it (“%s”)", s.end, clip(key)), fmt.Sprintf("keep all keys above the first closing %s; in notes use * * * for a rule", s.end)}
		}
	}
	return nil
}

func firstLine(body []byte) string {
	for l := range bytes.Lines(body) {
		if t := strings.TrimSpace(string(l)); t != "" {
			return t
		}
	}
	return ""
}

func looksLikeKey(s splitter, line string) bool {
	sign := ":"
	if s.name == "TOML" {
		sign = "="
	}
	key, _, ok := strings.Cut(line, sign)
	key = strings.TrimSpace(key)
	if !ok || key == "" {
		return false
	}
	for _, c := range key {
		if c != '_' && (c < 'a' || c > 'z') && (c < '0' || c > '9') {
			return false
		}
	}
	return true
}

// shift moves the lines of a tree down by n.
func shift(v *value, n int) {
	v.line += n
	for i := range v.list {
		shift(&v.list[i], n)
	}
	for i := range v.entries {
		v.entries[i].line += n
		shift(&v.entries[i].value, n)
	}
}
