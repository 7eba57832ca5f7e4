package publish

import (
	"errors"
	"io/fs"
	"os"
	"strings"
)

// headers are the Cache-Control lines of a site's own _headers file, so that a
// host that does not read it is told the same.
type headers []rule

type rule struct {
	prefix string // of the path below the site's root
	whole  bool   // the path itself, not all that begin with it
	value  string // empty: none from here on
}

// cautious is for a site that says nothing: ask whether it is still so.
const cautious = "no-cache"

// readHeaders reads the file: a line with a path, which may end in *, and indented
// lines with a name and a value, or an exclamation mark and a name to unset it.
// Paths begin with the site's own root, which the first section names.
func readHeaders(path string) (headers, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out headers
	root, section := "", ""
	for line := range strings.Lines(string(text)) {
		line = strings.TrimRight(line, " \t\r\n")
		switch {
		case line == "" || strings.HasPrefix(line, "#"):
		case line[0] != ' ' && line[0] != '\t':
			if section = line; root == "" {
				root = strings.TrimSuffix(line, "*")
			}
		default:
			name, value, _ := strings.Cut(strings.TrimSpace(line), ":")
			unset := strings.HasPrefix(name, "!")
			name = strings.TrimSpace(strings.TrimPrefix(name, "!"))
			below, ok := strings.CutPrefix(section, root)
			if !ok || !strings.EqualFold(name, "Cache-Control") {
				continue
			}
			r := rule{prefix: strings.TrimSuffix(below, "*"), whole: !strings.HasSuffix(below, "*")}
			if !unset {
				r.value = strings.TrimSpace(value)
			}
			out = append(out, r)
		}
	}
	return out, nil
}

// of gives the Cache-Control of a file: the values of all sections that match it,
// in order, joined as a host joins them.
func (h headers) of(name string) string {
	var values []string
	for _, r := range h {
		if r.whole && r.prefix != name || !strings.HasPrefix(name, r.prefix) {
			continue
		}
		if r.value == "" {
			values = nil
		} else {
			values = append(values, r.value)
		}
	}
	if len(values) == 0 {
		return cautious
	}
	return strings.Join(values, ", ")
}
