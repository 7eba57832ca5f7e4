package record

import (
	"fmt"
	"slices"
	"strings"
)

// Differences lists what two versions of a record file differ in: the paths of
// keys, groups with a dot ("exposure.seconds"), in the order of their names, and
// "" for the notes below the front matter. Order, comments and how a value is
// quoted are no differences. A list counts as one value. The error is that of
// the version that is no record.
func Differences(before, after []byte) ([]string, error) {
	a, err := splitBlock(before)
	if err != nil {
		return nil, err
	}
	b, err := splitBlock(after)
	if err != nil {
		return nil, err
	}
	was, is := map[string]string{}, map[string]string{}
	spread(was, "", a.root)
	spread(is, "", b.root)
	var out []string
	if plainBody(a.body) != plainBody(b.body) {
		out = append(out, "")
	}
	for path, text := range was {
		if other, ok := is[path]; !ok || other != text {
			out = append(out, path)
		}
	}
	for path := range is {
		if _, ok := was[path]; !ok {
			out = append(out, path)
		}
	}
	slices.Sort(out)
	return out, nil
}

// spread writes a tree as texts by path. A key that stands twice is two values.
func spread(into map[string]string, path string, v value) {
	if v.kind != table {
		into[path] += notation(v)
		return
	}
	for _, e := range v.entries {
		under := e.key
		if path != "" {
			under = path + "." + e.key
		}
		spread(into, under, e.value)
	}
}

// notation is a value as a text that no other value has.
func notation(v value) string {
	switch v.kind {
	case null:
		return "~"
	case list:
		items := make([]string, len(v.list))
		for i, item := range v.list {
			items[i] = notation(item)
		}
		return "[" + strings.Join(items, ",") + "]"
	case table:
		items := make([]string, len(v.entries))
		for i, e := range v.entries {
			items[i] = fmt.Sprintf("%q:%s", e.key, notation(e.value))
		}
		return "{" + strings.Join(items, ",") + "}"
	}
	// Numbers and truths are read only where they are not quoted; text either way.
	return fmt.Sprintf("%v%q", v.quoted, v.text)
}

func plainBody(s string) string {
	return strings.TrimSpace(strings.ReplaceAll(s, "\r\n", "\n"))
}

// Notes are the notes of a record file, or the error of what is no record.
func Notes(file []byte) (string, error) {
	b, err := splitBlock(file)
	return plainBody(b.body), err
}
