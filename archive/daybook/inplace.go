package daybook

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// text is a YAML record as lines, each with its line end. It is changed a line
// at a time, which keeps comments and order; whoever changes one reads the
// result back, since lines are not the whole of YAML.
type text struct {
	lines []string
	first int // the line after the opening ---
	end   int // the closing ---
	eol   string
}

// errNotation says that a record is not in the notation that is changed in place.
var errNotation = errors.New("it is not written in YAML between two lines of ---")

// inPlace writes the changed keys of an entry, and a note below, into a record.
func inPlace(data []byte, e *Entry, changed []string, note string) ([]byte, error) {
	t, err := openText(string(data))
	if err != nil {
		return nil, err
	}
	for _, path := range changed {
		if path == "notes" {
			continue
		}
		k, _ := KeyOf(path)
		v, there := e.values[path]
		if !there {
			err = t.drop(path)
		} else {
			err = t.set(k, e.written(k, v), v.List)
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
	}
	if slices.Contains(changed, "notes") {
		t.note(note)
	}
	return []byte(strings.Join(t.lines, "")), nil
}

const bom = "\ufeff"

func openText(s string) (*text, error) {
	t := &text{lines: strings.SplitAfter(s, "\n"), eol: "\n"}
	if strings.Contains(s, "\r\n") {
		t.eol = "\r\n"
	}
	fence := func(l string) bool { return strings.TrimSpace(strings.TrimPrefix(l, bom)) == "---" }
	at := slices.IndexFunc(t.lines, func(l string) bool { return strings.TrimSpace(strings.TrimPrefix(l, bom)) != "" })
	if at < 0 || !fence(t.lines[at]) {
		return nil, errNotation
	}
	t.first = at + 1
	n := slices.IndexFunc(t.lines[t.first:], fence)
	if n < 0 {
		return nil, errNotation
	}
	t.end = t.first + n
	return t, nil
}

func blank(l string) bool   { return strings.TrimSpace(l) == "" }
func comment(l string) bool { return strings.HasPrefix(strings.TrimSpace(l), "#") }
func indentOf(l string) string {
	return l[:len(l)-len(strings.TrimLeft(l, " \t"))]
}

// find is the line of a key that stands at an indent, between two lines; −1 if
// it is not there.
func (t *text) find(from, to int, indent, key string) int {
	is := regexp.MustCompile(`^` + indent + `(?:` + key + `|"` + key + `"|'` + key + `')[ \t]*:(?:[ \t\r\n]|$)`)
	for i := from; i < to; i++ {
		if is.MatchString(t.lines[i]) {
			return i
		}
	}
	return -1
}

// extent is the line after a top-level key's value. Comments and empty lines
// below the value belong to what follows.
func (t *text) extent(at int) int {
	to := at + 1
	for to < t.end && (blank(t.lines[to]) || strings.ContainsAny(t.lines[to][:1], " \t#-")) {
		to++
	}
	for to > at+1 && (blank(t.lines[to-1]) || comment(t.lines[to-1]) && indentOf(t.lines[to-1]) == "") {
		to--
	}
	return to
}

func (t *text) insert(at int, lines ...string) {
	t.lines = slices.Insert(t.lines, at, lines...)
	t.end += len(lines)
}

func (t *text) remove(from, to int) {
	t.lines = slices.Delete(t.lines, from, to)
	t.end -= to - from
}

// set gives a key a value; items are its texts if it is a list.
func (t *text) set(k Key, value string, items []string) error {
	group, name := splitPath(k.Path)
	if group != "" {
		return t.setIn(group, name, value)
	}
	at := t.find(t.first, t.end, "", name)
	if at < 0 {
		t.insert(t.place(name), name+": "+value+t.eol)
		return nil
	}
	to := t.extent(at)
	if to == at+1 {
		return t.onLine(at, value)
	}
	if items != nil && dashed(t.lines[at+1:to]) {
		t.items(at, to, items)
		return nil
	}
	if slices.ContainsFunc(t.lines[at:to], func(l string) bool { return strings.Contains(l, "#") }) {
		return errors.New("its value runs over several lines with comments between")
	}
	t.lines[at] = name + ": " + value + t.eol
	t.remove(at+1, to)
	return nil
}

// place is where a new top-level key goes: below the last of those that come
// before it in a record.
func (t *text) place(key string) int {
	at := t.first
	for _, k := range Keys {
		top, _ := splitPath(k.Path)
		if top == "" {
			top = k.Path
		}
		if top == key {
			break
		}
		if i := t.find(t.first, t.end, "", top); i >= 0 {
			at = max(at, t.extent(i))
		}
	}
	return at
}

// line is "key: value # comment" in its parts.
type line struct{ head, value, tail string }

// parts takes a line apart at the value that follows the first colon after from.
func parts(l string) (line, error) {
	colon := strings.Index(l, ":")
	if colon < 0 {
		return line{}, errors.New("a key without a colon")
	}
	rest := l[colon+1:]
	from := len(rest) - len(strings.TrimLeft(rest, " \t"))
	to, err := valueEnd(rest[from:])
	if err != nil {
		return line{}, err
	}
	return line{l[:colon+1] + rest[:from], rest[from : from+to], rest[from+to:]}, nil
}

// valueEnd is where a value on one line ends: before its comment and the line's
// end.
func valueEnd(s string) (int, error) {
	depth, quote := 0, byte(0)
	for i := 0; i < len(s); i++ {
		c := s[i]
		switch {
		case quote == '"' && c == '\\':
			i++
		case quote == '\'' && c == '\'' && i+1 < len(s) && s[i+1] == '\'':
			i++ // two of them stand for one
		case quote != 0:
			if c == quote {
				quote = 0
			}
		case (c == '"' || c == '\'') && (i == 0 || strings.IndexByte(" \t,[{:", s[i-1]) >= 0):
			quote = c
		case i == 0 && strings.IndexByte("|>&*!%@`", c) >= 0:
			return 0, errors.New("its value is no plain text")
		case (c == '[' || c == '{') && (i == 0 || depth > 0):
			depth++
		case (c == ']' || c == '}') && depth > 0:
			depth--
		case c == '#' && (i == 0 || s[i-1] == ' ' || s[i-1] == '\t'), c == '\r', c == '\n':
			if depth > 0 {
				return 0, errors.New("its value runs over several lines")
			}
			return len(strings.TrimRight(s[:i], " \t")), nil
		}
	}
	if depth > 0 || quote != 0 {
		return 0, errors.New("its value runs over several lines")
	}
	return len(strings.TrimRight(s, " \t")), nil
}

// onLine gives the key of a line another value and keeps its comment.
func (t *text) onLine(at int, value string) error {
	p, err := parts(t.lines[at])
	if err != nil {
		return err
	}
	if p.value == "" {
		// What stood between colon and comment is the tail's.
		p.tail = p.head[strings.Index(p.head, ":")+1:] + p.tail
		p.head = strings.TrimRight(p.head, " \t")
	}
	if strings.HasSuffix(p.head, ":") {
		p.head += " "
	}
	t.lines[at] = p.head + value + p.tail
	return nil
}

// dashed says that lines hold a list, an item a line.
func dashed(lines []string) bool {
	for _, l := range lines {
		if !blank(l) && !comment(l) && !strings.HasPrefix(strings.TrimSpace(l), "- ") {
			return false
		}
	}
	return true
}

// items makes a list of an item a line hold what is wanted: items that are to go
// are taken out, new ones come below.
func (t *text) items(at, to int, want []string) {
	missing := slices.Clone(want)
	indent := ""
	kept := t.lines[at+1 : to : to]
	var out []string
	for _, l := range kept {
		if blank(l) || comment(l) {
			out = append(out, l)
			continue
		}
		indent = indentOf(l)
		item := strings.TrimLeft(strings.TrimSpace(l)[1:], " \t")
		if n, err := valueEnd(item); err == nil {
			item = strings.Trim(item[:n], `"'`)
		}
		if i := slices.Index(missing, item); i >= 0 {
			missing = slices.Delete(missing, i, i+1)
			out = append(out, l)
		}
	}
	for _, item := range missing {
		out = append(out, indent+"- "+scalar(item)+t.eol)
	}
	if len(want) == 0 {
		t.lines[at] = strings.TrimRight(t.lines[at], " \t\r\n") + " []" + t.eol
	}
	t.remove(at+1, to)
	t.insert(at+1, out...)
}

// setIn gives a key of a group a value.
func (t *text) setIn(group, name, value string) error {
	at := t.find(t.first, t.end, "", group)
	if at < 0 {
		t.insert(t.place(group), group+":"+t.eol, "  "+name+": "+value+t.eol)
		return nil
	}
	to := t.extent(at)
	head := t.lines[at][strings.Index(t.lines[at], ":")+1:]
	if strings.HasPrefix(strings.TrimSpace(head), "{") {
		joined, err := inFlow(strings.Join(t.lines[at:to], ""), name, value)
		if err != nil {
			return err
		}
		t.remove(at, to)
		t.insert(at, strings.SplitAfter(joined, "\n")...)
		if t.lines[at+strings.Count(joined, "\n")] == "" { // SplitAfter's last, empty part
			t.remove(at+strings.Count(joined, "\n"), at+strings.Count(joined, "\n")+1)
		}
		return nil
	}
	if p, err := parts(t.lines[at]); err != nil || p.value != "" {
		return errors.New("its group is no list of keys")
	}
	indent, last := "  ", at
	for i := at + 1; i < to; i++ {
		if !blank(t.lines[i]) && !comment(t.lines[i]) {
			if last == at {
				indent = indentOf(t.lines[i])
			}
			last = i
		}
	}
	if i := t.find(at+1, to, indent, name); i >= 0 {
		return t.onLine(i, value)
	}
	t.insert(last+1, indent+name+": "+value+t.eol)
	return nil
}

// inFlow gives a key of "group: {…}" a value.
func inFlow(s, name, value string) (string, error) {
	open := strings.Index(s, "{")
	entry, depth, quote, last := open+1, 1, byte(0), open+1
	empty := true
	for i := open + 1; i < len(s); i++ {
		c := s[i]
		switch {
		case quote == '"' && c == '\\':
			i++
			continue
		case quote == '\'' && c == '\'' && i+1 < len(s) && s[i+1] == '\'':
			i++
			continue
		case quote != 0:
			if c == quote {
				quote = 0
			}
			continue
		case (c == '"' || c == '\'') && strings.IndexByte(" \t\n,[{:", s[i-1]) >= 0:
			quote = c
		case c == '#' && strings.IndexByte(" \t\n", s[i-1]) >= 0:
			return "", errors.New("there is a comment inside its group")
		case c == '[' || c == '{':
			depth++
		case c == ']' || c == '}':
			depth--
		}
		if depth == 1 && c == ',' || depth == 0 {
			key, old, ok := strings.Cut(s[entry:i], ":")
			if ok && strings.Trim(strings.TrimSpace(key), `"'`) == name {
				from := entry + len(key) + 1
				lead := len(old) - len(strings.TrimLeft(old, " \t"))
				end := len(strings.TrimRight(s[:i], " \t\r\n"))
				if lead == 0 {
					value = " " + value
				}
				return s[:from+lead] + value + s[max(end, from+lead):], nil
			}
			if strings.TrimSpace(s[entry:i]) != "" {
				empty, last = false, len(strings.TrimRight(s[:i], " \t\r\n"))
			}
			entry = i + 1
		}
		if depth == 0 {
			added := name + ": " + value
			if !empty {
				added = ", " + added
			}
			return s[:last] + added + s[last:], nil
		}
	}
	return "", errors.New("its group is not closed")
}

// drop takes a key out.
func (t *text) drop(path string) error {
	group, name := splitPath(path)
	from, to, indent := t.first, t.end, ""
	if group != "" {
		at := t.find(from, to, "", group)
		if at < 0 || at+1 >= t.extent(at) {
			return errors.New("its group stands on one line")
		}
		from, to, indent = at+1, t.extent(at), indentOf(t.lines[at+1])
	}
	at := t.find(from, to, indent, name)
	if at < 0 || group == "" && t.extent(at) > at+1 {
		return errors.New("its value runs over several lines")
	}
	if strings.Contains(t.lines[at], "#") {
		return errors.New("a comment stands beside it")
	}
	t.remove(at, at+1)
	return nil
}

// note puts a paragraph below everything.
func (t *text) note(note string) {
	last := len(t.lines) - 1
	for last > 0 && blank(t.lines[last]) {
		last--
	}
	t.lines = t.lines[:last+1]
	if !strings.HasSuffix(t.lines[last], "\n") {
		t.lines[last] += t.eol
	}
	text := strings.TrimPrefix(body(note), "\n")
	t.lines = append(t.lines, t.eol, strings.ReplaceAll(text, "\n", t.eol))
}
