package intake

import (
	"regexp"
	"strings"
	"unicode"

	"sandarac/archive/record"
)

var betweenPeople = regexp.MustCompile(`(?i)\s*(?:[;&+\n]|\band\b|\bund\b)\s*`)

// splitPeople cuts a cell into people. A comma stands between people only if
// what it separates are ids of sitter records: "Quill, Ada" is one person.
func splitPeople(cell string, a *record.Archive) []string {
	for _, sign := range []string{";", ","} {
		parts, all := strings.Split(cell, sign), true
		for i, part := range parts {
			parts[i] = strings.TrimSpace(part)
			all = all && personID(parts[i], a) != ""
		}
		if all {
			return parts
		}
	}
	var out []string
	for _, part := range betweenPeople.Split(cell, -1) {
		if part = oneLine(part); part != "" {
			out = append(out, part)
		}
	}
	return out
}

// personID finds a sitter record by its id or by its name, if one only has it.
func personID(text string, a *record.Archive) string {
	if _, ok := a.Sitters[text]; ok {
		return text
	}
	found := ""
	for id, s := range a.Sitters {
		if !strings.EqualFold(id, text) && !strings.EqualFold(s.Name, text) {
			continue
		}
		if found != "" {
			return ""
		}
		found = id
	}
	return found
}

func isLetter(c rune) bool { return unicode.IsLetter(c) }
