package phrase

import "slices"

// Matcher finds phrases. Fill it with Forbid and Allow, then call Build once;
// after that it may be used by many goroutines.
type Matcher struct {
	phrases []entry
	byHash  map[uint64]int   // hash of a word sequence → its place in phrases
	lengths map[uint64][]int // last word → how many words the phrases that end in it have, each number once
	filter  filter
	allowed map[uint64][]uint64 // by the hash of the words
}

type entry struct {
	words []uint64
	ids   []int
	masks []mask
}

// mask is an allowed phrase that holds a forbidden one.
type mask struct {
	words []uint64
	at    int // where in it the forbidden one begins
}

// NewMatcher makes an empty matcher.
func NewMatcher() *Matcher {
	return &Matcher{byHash: map[uint64]int{}, lengths: map[uint64][]int{}, allowed: map[uint64][]uint64{}}
}

// Forbid adds a phrase under an id of the caller's. Without a word in it nothing
// is added.
func (m *Matcher) Forbid(text string, id int) { m.forbid(Hashes(text), id) }

func (m *Matcher) forbid(words []uint64, id int) {
	if len(words) == 0 {
		return
	}
	key := sequence(words)
	at, ok := m.byHash[key]
	if !ok {
		at = len(m.phrases)
		m.byHash[key] = at
		m.phrases = append(m.phrases, entry{words: words})
	}
	if !slices.Contains(m.phrases[at].ids, id) {
		m.phrases[at].ids = append(m.phrases[at].ids, id)
	}
}

// Allow adds a text in which a forbidden phrase may stand: where the whole text
// stands, the phrase in it is not reported. (A sitter "Rose Hale" who may not be
// named does not forbid "Rose Hale-Smith", who may.)
func (m *Matcher) Allow(text string) {
	if words := Hashes(text); len(words) > 0 {
		m.allowed[sequence(words)] = words
	}
}

// Build readies the matcher.
func (m *Matcher) Build() {
	all := map[int]bool{}
	for _, p := range m.phrases {
		n, last := len(p.words), p.words[len(p.words)-1]
		if all[n] = true; !slices.Contains(m.lengths[last], n) {
			m.lengths[last] = append(m.lengths[last], n)
		}
		m.filter.add(last)
	}
	for _, text := range m.allowed {
		for n := range all {
			for at := 0; at+n <= len(text); at++ {
				if i, ok := m.byHash[sequence(text[at:at+n])]; ok {
					m.phrases[i].masks = append(m.phrases[i].masks, mask{text, at})
				}
			}
		}
	}
}

// Find calls report for every forbidden phrase in w: its ids, and the places of
// its first and last word. Thousands of titles may end in the same word, so the
// phrases that do are not gone through: those of each length are looked up.
func (m *Matcher) Find(w *Words, report func(ids []int, first, last int)) {
	for i, h := range w.Hash {
		if !m.filter.has(h) {
			continue
		}
		for _, n := range m.lengths[h] {
			first := i + 1 - n
			if first < 0 {
				continue
			}
			at, known := m.byHash[sequence(w.Hash[first:i+1])]
			if !known {
				continue
			}
			e := &m.phrases[at]
			if !slices.Equal(w.Hash[first:i+1], e.words) || e.masked(w.Hash, first) {
				continue
			}
			report(e.ids, first, i)
		}
	}
}

// masked says whether the phrase, found at first, stands inside an allowed text.
func (e *entry) masked(words []uint64, first int) bool {
	for _, m := range e.masks {
		from := first - m.at
		if from >= 0 && from+len(m.words) <= len(words) && slices.Equal(words[from:from+len(m.words)], m.words) {
			return true
		}
	}
	return false
}

// sequence is a hash of several words in order.
func sequence(words []uint64) uint64 {
	h := uint64(len(words))
	for _, w := range words {
		h = mix(h ^ w)
	}
	return h
}

// filter says quickly that a hash is not in a set.
type filter [1 << 12]uint64

func (f *filter) add(h uint64)      { f[h>>6&(1<<12-1)] |= 1 << (h & 63) }
func (f *filter) has(h uint64) bool { return f[h>>6&(1<<12-1)]&(1<<(h&63)) != 0 }
