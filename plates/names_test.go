package plates

import "strings"

// plain are parts of invented names that are also words of the language: a "moss" in a title is no leak.
var plain = map[string]bool{"moss": true}

// holdsName tells whether any part of a name stands in s as a word.
func holdsName(s, name string) bool {
	words := strings.FieldsFunc(strings.ToLower(s), func(r rune) bool { return r < 'a' || r > 'z' })
	for _, part := range strings.Fields(strings.ToLower(name)) {
		if plain[part] {
			continue
		}
		for _, w := range words {
			if w == part {
				return true
			}
		}
	}
	return false
}
