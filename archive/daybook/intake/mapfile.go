package intake

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	yamlerrors "github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"

	"sandarac/archive/daybook/sheet"
)

// mapMost bounds the mapping's file, in bytes.
const mapMost = 1 << 20

// YAML writes the mapping's file, with what was found in comments.
func (m *Mapping) YAML(table string) []byte {
	var b strings.Builder
	line := func(key, value, note string) {
		text := key + ": " + quote(value)
		if note != "" {
			text += strings.Repeat(" ", max(1, 30-len(text))) + "# " + note
		}
		b.WriteString(text + "\n")
	}
	fmt.Fprintf(&b, "# How %s becomes records. Change what is wrong here, then run the\n# same command again. Nothing is written before you add --write.\n", oneLine(table))
	line("record", m.Record, "plate or batch")
	line("encoding", string(m.Encoding), "as found; accepted: utf-8, utf-16le, utf-16be, windows-1252")
	line("delimiter", string(m.Delimiter), "as found")
	line("decimal", m.Decimal, first(m.notes["decimal"], "point: 8.5; comma: 8,5"))
	line("dates", m.Dates, first(m.notes["dates"], "how 3/5/2026 is meant: day-first or month-first"))
	line("serials", m.Serials, first(m.notes["serials"], "for dates that are day numbers: 1900 or 1904"))
	if m.notes["years"] != "" {
		b.WriteString("# " + m.notes["years"] + "\n")
	}
	line("folder", m.Folder, "where records without a scan go; empty: where your plates are")
	b.WriteString("\n# to: a key of the record; notes; an own key x_…; or skip. unit: where the cell\n# names none. values: what stands in a cell, and what the record takes for it;\n# with nothing after it, it is kept as an own key.\ncolumns:\n")
	for _, c := range m.Columns {
		fmt.Fprintf(&b, "  - column: %s", quote(c.Heading))
		if c.note != "" {
			b.WriteString("   # " + c.note)
		}
		fmt.Fprintf(&b, "\n    to: %s\n", quote(c.To))
		if c.Unit != "" {
			fmt.Fprintf(&b, "    unit: %s\n", quote(c.Unit))
		}
		if len(c.Values) > 0 {
			b.WriteString("    values:\n")
			for _, word := range slices.Sorted(maps.Keys(c.Values)) {
				fmt.Fprintf(&b, "      %s: %s\n", quote(word), quote(c.Values[word]))
			}
		}
	}
	return []byte(b.String())
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// quote writes a text in double quotes.
func quote(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\t':
			b.WriteString(`\t`)
		case c == '\n':
			b.WriteString(`\n`)
		case c < ' ' || c >= 0x7f && c <= 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff:
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// MapError is a fault of the mapping's file at a line.
type MapError struct {
	Line    int
	Message string
}

func (e *MapError) Error() string { return fmt.Sprintf("line %d: %s", e.Line, e.Message) }

func mapError(n ast.Node, format string, args ...any) error {
	return &MapError{n.GetToken().Position.Line, fmt.Sprintf(format, args...)}
}

// ReadMapping reads the mapping's file. The error is a *MapError.
func ReadMapping(data []byte) (m *Mapping, err error) {
	if len(data) > mapMost {
		return nil, &MapError{1, "the file is too large to be a mapping"}
	}
	if strings.Count(string(data), "[")+strings.Count(string(data), "{") > 0 && nested(data) {
		return nil, &MapError{1, "brackets are nested too deep to be a mapping"}
	}
	defer func() {
		if p := recover(); p != nil {
			m, err = nil, &MapError{1, fmt.Sprintf("this cannot be read as YAML (%v)", p)}
		}
	}()
	file, err := parser.ParseBytes(data, 0)
	if err != nil {
		var se *yamlerrors.SyntaxError
		if errors.As(err, &se) && se.Token != nil {
			return nil, &MapError{se.Token.Position.Line, se.Message + "; check quotes, colons and indentation"}
		}
		return nil, &MapError{1, err.Error()}
	}
	if len(file.Docs) != 1 || file.Docs[0].Body == nil {
		return nil, &MapError{1, "this is not a mapping; take the file away to get a new one"}
	}
	m = &Mapping{notes: map[string]string{}}
	return m, m.read(file.Docs[0].Body)
}

// nested reports whether brackets nest deeper than a mapping needs; the parser
// recurses, so a hostile file is stopped before it.
func nested(data []byte) bool {
	depth := 0
	for _, c := range data {
		switch c {
		case '[', '{':
			if depth++; depth > 64 {
				return true
			}
		case ']', '}':
			depth = max(0, depth-1)
		}
	}
	return false
}

func (m *Mapping) read(body ast.Node) error {
	return eachEntry(body, func(key string, at, v ast.Node) error {
		if key == "columns" {
			list, ok := v.(*ast.SequenceNode)
			if !ok {
				return mapError(at, "columns is not a list")
			}
			for _, item := range list.Values {
				c, err := m.readColumn(item)
				if err != nil {
					return err
				}
				m.Columns = append(m.Columns, c)
			}
			return nil
		}
		text, err := textOf(v)
		if err != nil {
			return err
		}
		return m.set(key, text, at)
	})
}

func (m *Mapping) set(key, text string, at ast.Node) error {
	choose := func(to *string, accepted ...string) error {
		if text != "" && !slices.Contains(accepted, text) {
			return mapError(at, "%s is “%s”; accepted: %s", key, text, strings.Join(accepted, ", "))
		}
		*to = text
		return nil
	}
	switch key {
	case "record":
		return choose(&m.Record, "plate", "batch")
	case "encoding":
		if !slices.Contains(sheet.Encodings, sheet.Encoding(text)) {
			return mapError(at, "encoding is “%s”; accepted: %v", text, sheet.Encodings)
		}
		m.Encoding = sheet.Encoding(text)
	case "delimiter":
		if r := []rune(text); len(r) == 1 && slices.Contains(sheet.Delimiters, r[0]) {
			m.Delimiter = r[0]
			return nil
		}
		return mapError(at, "delimiter is “%s”; accepted: , or ; or | or a tab", text)
	case "decimal":
		return choose(&m.Decimal, Point, Comma)
	case "dates":
		return choose(&m.Dates, DayFirst, MonthFirst)
	case "serials":
		return choose(&m.Serials, Serial1900, Serial1904)
	case "folder":
		m.Folder = text
	default:
		return mapError(at, "%s is not a setting; accepted: record, encoding, delimiter, decimal, dates, serials, folder, columns", oneLine(key))
	}
	return nil
}

func (m *Mapping) readColumn(item ast.Node) (Column, error) {
	c := Column{line: item.GetToken().Position.Line}
	err := eachEntry(item, func(key string, at, v ast.Node) error {
		if key == "values" {
			c.Values = map[string]string{}
			if _, empty := v.(*ast.NullNode); empty {
				return nil
			}
			return eachEntry(v, func(word string, _, v ast.Node) error {
				text, err := textOf(v)
				c.Values[word] = text
				return err
			})
		}
		text, err := textOf(v)
		if err != nil {
			return err
		}
		switch key {
		case "column":
			c.Heading = text
		case "to":
			c.To = text
		case "unit":
			c.Unit = text
		default:
			return mapError(at, "%s is not said of a column; accepted: column, to, unit, values", oneLine(key))
		}
		return nil
	})
	if err == nil && c.Heading == "" {
		return c, mapError(item, "a column without its heading; accepted: column: the heading in the table")
	}
	return c, err
}

func eachEntry(n ast.Node, f func(key string, at, v ast.Node) error) error {
	var values []*ast.MappingValueNode
	switch n := n.(type) {
	case *ast.MappingNode:
		values = n.Values
	case *ast.MappingValueNode:
		values = []*ast.MappingValueNode{n}
	default:
		return mapError(n, "a list of settings is expected here, each with a colon")
	}
	for _, kv := range values {
		key, err := textOf(kv.Key)
		if err != nil {
			return err
		}
		var v ast.Node = kv.Value
		if kv.Value == nil {
			v = ast.Null(kv.Key.GetToken())
		}
		if err := f(key, kv.Key, v); err != nil {
			return err
		}
	}
	return nil
}

// textOf is a value as written: 012 stays 012, and nothing is "".
func textOf(n ast.Node) (string, error) {
	switch n := n.(type) {
	case *ast.NullNode:
		return "", nil
	case *ast.StringNode:
		return n.Value, nil
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
		return n.GetToken().Value, nil
	}
	return "", mapError(n, "a text is expected here, without lists, anchors or aliases")
}
