package phrase

// Set is a number of folded words, for telling quickly that a text has none of
// them.
type Set struct {
	words  map[uint64]bool
	filter filter
}

// Add puts the words of a text into the set.
func (s *Set) Add(text string) {
	if s.words == nil {
		s.words = map[uint64]bool{}
	}
	for _, h := range Hashes(text) {
		s.words[h] = true
		s.filter.add(h)
	}
}

// Any says whether one of the words of w is in the set.
func (s *Set) Any(w *Words) bool {
	for _, h := range w.Hash {
		if s.filter.has(h) && s.words[h] {
			return true
		}
	}
	return false
}
