package publish

import (
	"errors"
	"io/fs"
	"os"
	"regexp"
	"strings"
)

// headers are the Cache-Control lines of a site's own _headers file, so that a
// host that does not read it is told the same.
type headers []rule

type rule struct {
	path  *regexp.Regexp // of files, below the site's root
	value string         // empty: none from here on
}

// cautious is for a site that says nothing: ask whether it is still so.
const cautious = "no-cache"

// readHeaders reads the file: a line with a path and indented lines with a name
// and a value, or an exclamation mark and a name to unset it. Paths begin with
// the site's own root, which the first section names.
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
			r := rule{path: pathPattern(below)}
			if !unset {
				r.value = strings.TrimSpace(value)
			}
			out = append(out, r)
		}
	}
	return out, nil
}

var placeholder = regexp.MustCompile(`:[A-Za-z]\w*`)

// pathPattern reads a path as hosts do: * stands for anything, :name for one
// folder or file.
func pathPattern(path string) *regexp.Regexp {
	text := strings.ReplaceAll(regexp.QuoteMeta(path), `\*`, `.*`)
	return regexp.MustCompile(`^` + placeholder.ReplaceAllString(text, `[^/]+`) + `$`)
}

// of gives the Cache-Control of a file: the values of all sections that match it,
// in order, joined as a host joins them.
func (h headers) of(name string) string {
	var values []string
	for _, r := range h {
		if !r.path.MatchString(name) {
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
