package record

import (
	"errors"
	"fmt"
	"strings"

	toml "github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// parseTOML reads a TOML block into the same tree as parseYAML. The library's
// decoder judges the notation first (it knows every rule of TOML 1.0); the tree
// is then taken from its parser, which knows the positions.
func parseTOML(block []byte) (root value, err error) {
	if line := tooDeep(block); line > 0 {
		return value{}, &syntaxError{line, "groups are nested too deep to be a record", "write the record with the keys of its kind"}
	}
	defer func() {
		if p := recover(); p != nil {
			err = &syntaxError{1, fmt.Sprintf("the block cannot be read as TOML (%v)", p), "check quotes, equals signs and brackets"}
		}
	}()
	var any map[string]any
	if err := toml.Unmarshal(block, &any); err != nil {
		var de *toml.DecodeError
		if errors.As(err, &de) {
			line, _ := de.Position()
			return value{}, &syntaxError{line, strings.TrimPrefix(de.Error(), "toml: "), "texts stand in quotes, dates do not; check quotes, equals signs and brackets on this line"}
		}
		return value{}, &syntaxError{1, err.Error(), "check quotes, equals signs and brackets"}
	}
	t := &tomlTree{block: block, root: &value{kind: table, line: 1}}
	t.parser.Reset(block)
	t.at = t.root
	for t.parser.NextExpression() {
		t.expression(t.parser.Expression())
	}
	if err := t.parser.Error(); err != nil {
		return value{}, &syntaxError{1, err.Error(), "check quotes, equals signs and brackets"}
	}
	return *t.root, nil
}

type tomlTree struct {
	parser unstable.Parser
	block  []byte
	root   *value
	at     *value // the table that key-values go into
	line   int
}

func (t *tomlTree) expression(n *unstable.Node) {
	switch n.Kind {
	case unstable.KeyValue:
		t.keyValue(t.at, n)
	case unstable.Table, unstable.ArrayTable:
		t.at = t.header(n, n.Kind == unstable.ArrayTable)
	}
}

// header walks a [a.b] or [[a.b]] heading from the root and returns the table
// it opens.
func (t *tomlTree) header(n *unstable.Node, array bool) *value {
	at := t.root
	keys := n.Key()
	for keys.Next() {
		k := keys.Node()
		at = child(at, string(k.Data), t.lineOf(k))
		if at.kind == list {
			if keys.IsLast() && array {
				break
			}
			at = &at.list[len(at.list)-1]
		}
	}
	if array {
		if at.kind != list {
			*at = value{kind: list, line: at.line}
		}
		at.list = append(at.list, value{kind: table, line: t.line})
		at = &at.list[len(at.list)-1]
	}
	return at
}

// child is the value under a key, made as a table when it is not there yet.
func child(at *value, key string, line int) *value {
	for i := range at.entries {
		if at.entries[i].key == key {
			return &at.entries[i].value
		}
	}
	at.entries = append(at.entries, entry{key, line, value{kind: table, line: line}})
	return &at.entries[len(at.entries)-1].value
}

func (t *tomlTree) keyValue(at *value, n *unstable.Node) {
	keys := n.Key()
	for keys.Next() {
		k := keys.Node()
		line := t.lineOf(k)
		if keys.IsLast() {
			at.entries = append(at.entries, entry{string(k.Data), line, t.value(n.Value(), line)})
			return
		}
		at = child(at, string(k.Data), line)
	}
}

func (t *tomlTree) value(n *unstable.Node, line int) value {
	if n.Raw.Length > 0 {
		line = t.lineOf(n)
	}
	switch n.Kind {
	case unstable.Array:
		v := value{kind: list, line: line}
		for it := n.Children(); it.Next(); {
			if it.Node().Kind == unstable.Comment {
				continue
			}
			v.list = append(v.list, t.value(it.Node(), line))
		}
		return v
	case unstable.InlineTable:
		v := value{kind: table, line: line}
		for it := n.Children(); it.Next(); {
			t.keyValue(&v, it.Node())
		}
		return v
	}
	return value{line: line, text: string(n.Data), quoted: n.Kind == unstable.String}
}

func (t *tomlTree) lineOf(n *unstable.Node) int {
	if n.Raw.Length == 0 {
		return max(t.line, 1)
	}
	t.line = t.parser.Shape(n.Raw).Start.Line
	return t.line
}
