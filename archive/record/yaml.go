package record

import (
	"errors"
	"fmt"

	yamlerrors "github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/goccy/go-yaml/parser"
	"github.com/goccy/go-yaml/token"
)

// syntaxError is a fault of notation at a line of the block (from 1).
type syntaxError struct {
	line    int
	message string
	remedy  string
}

func (e *syntaxError) Error() string { return e.message }

// nestingMost bounds how deep groups and lists may be nested. Records need four
// levels; the parser recurses, so a hostile file must be stopped before it.
const nestingMost = 32

// parseYAML reads a YAML block (JSON is read by the same parser) into a tree.
// Anchors, aliases, merge keys and tags are refused: a record is written out in
// full, and aliases are how small files become enormous ones.
func parseYAML(block []byte) (root value, err error) {
	if line := tooDeep(block); line > 0 {
		return value{}, &syntaxError{line, "groups are nested too deep to be a record", "write the record with the keys of its kind"}
	}
	defer func() {
		if p := recover(); p != nil {
			err = &syntaxError{1, fmt.Sprintf("the block cannot be read as YAML (%v)", p), "check quotes, colons and indentation"}
		}
	}()
	file, err := parser.ParseBytes(block, 0, parser.AllowDuplicateMapKey())
	if err != nil {
		var se *yamlerrors.SyntaxError
		if errors.As(err, &se) && se.Token != nil {
			return value{}, &syntaxError{se.Token.Position.Line, se.Message, yamlRemedy(block, se.Token.Position.Line)}
		}
		return value{}, &syntaxError{1, err.Error(), "check quotes, colons and indentation"}
	}
	if len(file.Docs) > 1 {
		second := file.Docs[1]
		line := 1
		if second.Start != nil {
			line = second.Start.Position.Line
		}
		return value{}, &syntaxError{line, "a second YAML document begins here", "keep one record in a file"}
	}
	if len(file.Docs) == 0 || file.Docs[0].Body == nil {
		return value{kind: null, line: 1}, nil
	}
	return yamlValue(file.Docs[0].Body)
}

func yamlValue(n ast.Node) (value, error) {
	line := n.GetToken().Position.Line
	switch n := n.(type) {
	case *ast.NullNode:
		return value{kind: null, line: line}, nil
	case *ast.StringNode:
		t := n.Token
		return value{line: line, text: n.Value, quoted: t.Type == token.SingleQuoteType || t.Type == token.DoubleQuoteType}, nil
	case *ast.LiteralNode:
		return value{line: line, text: n.Value.Value, quoted: true}, nil
	case *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode, *ast.InfinityNode, *ast.NanNode:
		return value{line: line, text: n.GetToken().Value}, nil
	case *ast.SequenceNode:
		v := value{kind: list, line: line}
		for _, item := range n.Values {
			iv, err := yamlValue(item)
			if err != nil {
				return value{}, err
			}
			v.list = append(v.list, iv)
		}
		return v, nil
	case *ast.MappingNode:
		v := value{kind: table, line: line}
		for _, kv := range n.Values {
			if err := yamlEntry(&v, kv); err != nil {
				return value{}, err
			}
		}
		if len(v.entries) > 0 {
			v.line = v.entries[0].line
		}
		return v, nil
	case *ast.MappingValueNode:
		v := value{kind: table}
		if err := yamlEntry(&v, n); err != nil {
			return value{}, err
		}
		v.line = v.entries[0].line
		return v, nil
	}
	return value{}, &syntaxError{line, fmt.Sprintf("%s is not used in records", n.Type()), "write the value out in full, without anchors, aliases or tags"}
}

func yamlEntry(v *value, kv *ast.MappingValueNode) error {
	tok := kv.Key.GetToken()
	switch kv.Key.(type) {
	case *ast.StringNode, *ast.IntegerNode, *ast.FloatNode, *ast.BoolNode:
	default:
		return &syntaxError{tok.Position.Line, "this key is not a plain word", "write the key as a plain word, without anchors, aliases or merge keys"}
	}
	val := value{kind: null, line: tok.Position.Line}
	if kv.Value != nil {
		var err error
		if val, err = yamlValue(kv.Value); err != nil {
			return err
		}
	}
	v.entries = append(v.entries, entry{key: tok.Value, line: tok.Position.Line, value: val})
	return nil
}

// tooDeep is the line on which flow brackets or indentation nest beyond
// nestingMost, or 0. It counts bytes only, so it can refuse an odd file that
// nobody writes; it cannot be made to recurse.
func tooDeep(block []byte) int {
	line, depth, indent, start := 1, 0, 0, true
	for _, c := range block {
		switch {
		case c == '\n':
			line, indent, start = line+1, 0, true
			continue
		case start && (c == ' ' || c == '-' || c == '?'):
			indent++
			if c != ' ' && indent > 4*nestingMost {
				return line
			}
			continue
		case c == '[' || c == '{':
			if depth++; depth > nestingMost {
				return line
			}
		case (c == ']' || c == '}') && depth > 0:
			depth--
		}
		start = false
		if indent > 8*nestingMost {
			return line
		}
	}
	return 0
}
