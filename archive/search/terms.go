package search

import (
	"encoding/binary"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"
)

// shard is a file before it is named, with the text its range begins at.
type shard struct {
	first string
	body  []byte
}

// vocabulary gathers the postings of every term while documents are added in
// ascending order of their numbers.
type vocabulary map[string][]posting

func (v vocabulary) add(doc uint32, fields []Field) {
	for _, f := range fields {
		weight := uint8(f.Weight)
		terms(f.Text, func(term string) {
			list := v[term]
			if n := len(list); n > 0 && list[n-1].doc == doc {
				list[n-1].weight = max(list[n-1].weight, weight)
				return
			}
			v[term] = append(list, posting{doc, weight})
		})
	}
}

func (v vocabulary) sorted() []string {
	all := make([]string, 0, len(v))
	for term := range v {
		all = append(all, term)
	}
	slices.Sort(all)
	return all
}

// termShards writes the terms with their postings into files of about size
// bytes before compression.
func termShards(v vocabulary, size int) []shard {
	w := shardWriter{kind: 'T', size: size}
	var buf []byte
	for _, term := range v.sorted() {
		buf = appendPostings(buf[:0], v[term])
		w.add(term, buf)
	}
	return w.finish()
}

// endingShards writes the terms backwards, those that may be meant by a
// misspelling.
func endingShards(v vocabulary, size int) []shard {
	var backwards []string
	for term := range v {
		if utf8.RuneCountInString(term) >= minMisspelt-1 && !strings.ContainsFunc(term, unicode.IsNumber) {
			backwards = append(backwards, reversed(term))
		}
	}
	slices.Sort(backwards)
	w := shardWriter{kind: 'E', size: size}
	for _, b := range backwards {
		w.add(b, nil)
	}
	return w.finish()
}

// minMisspelt is how many letters a query word has at least for a misspelling
// to be forgiven.
const minMisspelt = 5

func reversed(s string) string {
	r := []rune(s)
	slices.Reverse(r)
	return string(r)
}

// shardWriter front-codes ascending texts into shards, in one pass.
type shardWriter struct {
	kind            byte
	size            int
	shards          []shard
	first, last     string
	count           int
	entries, bodies []byte
}

func (w *shardWriter) add(term string, postings []byte) {
	shared := sharedPrefix(w.last, term)
	length := len(term) - shared
	cost := 2*uvarintLen(uint64(length)) + length + uvarintLen(uint64(len(postings))) + len(postings)
	if w.count > 0 && len(w.entries)+len(w.bodies)+cost > w.size {
		w.cut()
		w.first, shared = separator(w.last, term), 0
	}
	w.entries = binary.AppendUvarint(w.entries, uint64(shared))
	w.entries = binary.AppendUvarint(w.entries, uint64(len(term)-shared))
	w.entries = append(w.entries, term[shared:]...)
	if w.kind == 'T' {
		w.entries = binary.AppendUvarint(w.entries, uint64(len(postings)))
		w.bodies = append(w.bodies, postings...)
	}
	w.count++
	w.last = term
}

func (w *shardWriter) cut() {
	body := binary.AppendUvarint([]byte{w.kind}, uint64(w.count))
	body = append(append(body, w.entries...), w.bodies...)
	w.shards = append(w.shards, shard{w.first, body})
	w.count, w.entries, w.bodies = 0, w.entries[:0], w.bodies[:0]
}

func (w *shardWriter) finish() []shard {
	if w.count > 0 {
		w.cut()
	}
	return w.shards
}

func sharedPrefix(a, b string) int {
	n := min(len(a), len(b))
	for i := range n {
		if a[i] != b[i] {
			return i
		}
	}
	return n
}

// separator is the shortest beginning of next that still comes after last, cut
// between characters, so that the directory stays small.
func separator(last, next string) string {
	n := sharedPrefix(last, next) + 1
	for n < len(next) && !utf8.RuneStart(next[n]) {
		n++
	}
	return next[:n]
}
