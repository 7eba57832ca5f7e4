package record

import "strings"

// Source is where a record was read from.
type Source struct {
	File string // relative to the archive, with slashes
	// Broken says that an error was found in the record: whatever depends on it
	// must be left out.
	Broken   bool
	Body     string            // below the front matter: a page's text, else notes, which are never public
	BodyLine int               // the line that the body begins on
	Extra    map[string]string // the user's own x_ keys, values as written

	lines map[string]int
}

// Line is the line of a key, written with dots ("exposure.seconds"). A key that
// is not in the file gives the line of the group it would stand in.
func (s Source) Line(key string) int {
	for key != "" {
		if n, ok := s.lines[key]; ok {
			return n
		}
		i := strings.LastIndexByte(key, '.')
		if i < 0 {
			break
		}
		key = key[:i]
	}
	if n, ok := s.lines[""]; ok {
		return n
	}
	return 1
}

// Has reports whether the record's file holds the key.
func (s Source) Has(key string) bool {
	_, ok := s.lines[key]
	return ok
}
