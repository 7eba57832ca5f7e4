package phrase

// QuoteLength is how many words in a row make a quotation: fewer are common to
// texts that have nothing to do with each other.
const QuoteLength = 8

// Quotes finds where a text quotes others: QuoteLength words in a row that stand
// in one of them. Fill it with Forbid and Allow, in that order.
type Quotes struct {
	runs   map[uint64]int
	filter filter
	plain  func(word string) bool
}

// NewQuotes makes an empty set.
func NewQuotes() *Quotes { return &Quotes{runs: map[uint64]int{}} }

// Plain says which folded words tell nothing: a run of such words alone is no
// quotation.
func (q *Quotes) Plain(plain func(word string) bool) { q.plain = plain }

// Forbid adds a text under an id, and says whether it is long enough to be
// quoted.
func (q *Quotes) Forbid(text string, id int) bool {
	folded := Fold(text)
	words := make([]uint64, len(folded))
	telling := make([]int, len(folded)+1) // how many words before each place are not plain
	for i, w := range folded {
		words[i] = hashWord(w)
		telling[i+1] = telling[i]
		if q.plain == nil || !q.plain(w) {
			telling[i+1]++
		}
	}
	q.each(words, func(run uint64, at int) {
		if _, known := q.runs[run]; !known && telling[at+QuoteLength] > telling[at] {
			q.runs[run] = id
			q.filter.add(run)
		}
	})
	return len(words) >= QuoteLength
}

// Allow takes out what a text that may be shown also says.
func (q *Quotes) Allow(text string) {
	q.each(Hashes(text), func(run uint64, _ int) { delete(q.runs, run) })
}

// Find calls report for each quotation with the text's id and the places of its
// first and last word; of overlapping ones from the same text only the first.
func (q *Quotes) Find(w *Words, report func(id, first, last int)) {
	if len(q.runs) == 0 {
		return
	}
	lastID, lastEnd := -1, -1
	q.each(w.Hash, func(run uint64, at int) {
		if !q.filter.has(run) {
			return
		}
		id, ok := q.runs[run]
		if !ok {
			return
		}
		if id != lastID || at > lastEnd {
			report(id, at, at+QuoteLength-1)
		}
		lastID, lastEnd = id, at+QuoteLength-1
	})
}

// runBase is the multiplier of the rolling hash (odd, so that it has an inverse).
const runBase = 0x9e3779b97f4a7c15

// runTop is runBase to the power QuoteLength−1.
var runTop = func() uint64 {
	p := uint64(1)
	for range QuoteLength - 1 {
		p *= runBase
	}
	return p
}()

// each calls f for every run of QuoteLength words: a polynomial in the words'
// hashes, kept up to date from run to run (Karp and Rabin 1987).
func (q *Quotes) each(words []uint64, f func(run uint64, at int)) {
	if len(words) < QuoteLength {
		return
	}
	var h uint64
	for i, w := range words {
		if i >= QuoteLength {
			h -= words[i-QuoteLength] * runTop
		}
		h = h*runBase + w
		if at := i - QuoteLength + 1; at >= 0 {
			f(mix(h), at)
		}
	}
}
