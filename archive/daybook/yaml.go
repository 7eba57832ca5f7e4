package daybook

import (
	"fmt"
	"regexp"
	"strings"
)

// plainScalar matches texts that YAML reads as they stand: words, ids, dates,
// numbers. Everything else is quoted.
var plainScalar = regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_./+-]*( [A-Za-z0-9(][A-Za-z0-9_./+()-]*)*$`)

// timeScalar is a time as records hold it; its colons are followed by digits.
var timeScalar = regexp.MustCompile(`^\d{4}-\d\d-\d\dT\d\d:\d\d(:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?)?$`)

// Scalar writes one text as a value of front matter.
func Scalar(s string) string { return scalar(s) }

// scalar writes one value of the front matter: on one line, quoted unless it is
// plain. Record reads numbers and truths only where they are not quoted, and
// text either way.
func scalar(s string) string {
	if plainScalar.MatchString(s) && !reserved(s) || timeScalar.MatchString(s) {
		return s
	}
	return quoted(s)
}

// reserved are words that stand for something other than themselves.
func reserved(s string) bool {
	switch strings.ToLower(s) {
	case "null", "true", "false", "yes", "no", "on", "off", "y", "n":
		return true
	}
	return false
}

// quoted is a text in double quotes. Brackets are escaped where they are not
// paired, since record refuses a block that nests deep without reading quotes.
func quoted(s string) string {
	var b strings.Builder
	b.WriteByte('"')
	raw := brackets(s)
	for _, c := range s {
		switch {
		case c == '"' || c == '\\':
			b.WriteByte('\\')
			b.WriteRune(c)
		case c == '\n':
			b.WriteString(`\n`)
		case c == '\t':
			b.WriteString(`\t`)
		case (c == '[' || c == '{') && !raw:
			fmt.Fprintf(&b, `\u%04x`, c)
		case c < ' ' || c >= 0x7f && c <= 0xa0 || c == 0x2028 || c == 0x2029 || c == 0xfeff:
			fmt.Fprintf(&b, `\u%04x`, c)
		default:
			b.WriteRune(c)
		}
	}
	b.WriteByte('"')
	return b.String()
}

// brackets reports whether the brackets of a text are paired and not nested.
func brackets(s string) bool {
	open := false
	for _, c := range s {
		switch c {
		case '[', '{':
			if open {
				return false
			}
			open = true
		case ']', '}':
			if !open {
				return false
			}
			open = false
		}
	}
	return !open
}

// flow writes a list on one line.
func flow(items []string) string {
	out := make([]string, len(items))
	for i, s := range items {
		out[i] = scalar(s)
	}
	return "[" + strings.Join(out, ", ") + "]"
}
