package search

import (
	"encoding/binary"
	"math/bits"
)

// posting says that a document holds a term in a field of a weight.
type posting struct {
	doc    uint32
	weight uint8
}

// How a list of document numbers is written; see the package's account of files.
const (
	codingGaps = iota
	codingRuns
	codingBitmap
)

// appendPostings writes a term's postings, which ascend by document, as groups
// of one weight, heaviest first.
func appendPostings(out []byte, list []posting) []byte {
	var byWeight [MaxWeight + 1][]uint32
	for _, p := range list {
		byWeight[p.weight] = append(byWeight[p.weight], p.doc)
	}
	for w := MaxWeight; w > 0; w-- {
		if docs := byWeight[w]; len(docs) > 0 {
			coding, body := shortest(docs)
			out = append(out, byte(w<<2|coding))
			out = append(out, body...)
		}
	}
	return out
}

// shortest writes ascending document numbers in whichever coding takes least.
func shortest(docs []uint32) (coding int, body []byte) {
	body = gaps(docs)
	if r := runs(docs); len(r) < len(body) {
		coding, body = codingRuns, r
	}
	// A bitmap does not shrink under deflate, gaps do by about a quarter.
	first, last := docs[0]/8, docs[len(docs)-1]/8
	size := int(last-first) + 1
	if size+uvarintLen(uint64(first))+uvarintLen(uint64(size)) < len(body)*3/4 {
		coding, body = codingBitmap, bitmap(docs, first, size)
	}
	return coding, body
}

func gaps(docs []uint32) []byte {
	out := binary.AppendUvarint(make([]byte, 0, len(docs)+4), uint64(len(docs)))
	next := uint32(0)
	for _, d := range docs {
		out = binary.AppendUvarint(out, uint64(d-next))
		next = d + 1
	}
	return out
}

func runs(docs []uint32) []byte {
	var body []byte
	count, next := 0, uint32(0)
	for i := 0; i < len(docs); {
		j := i + 1
		for j < len(docs) && docs[j] == docs[j-1]+1 {
			j++
		}
		body = binary.AppendUvarint(body, uint64(docs[i]-next))
		body = binary.AppendUvarint(body, uint64(j-i-1))
		count, next, i = count+1, docs[j-1]+1, j
	}
	return append(binary.AppendUvarint(nil, uint64(count)), body...)
}

func bitmap(docs []uint32, first uint32, size int) []byte {
	out := binary.AppendUvarint(nil, uint64(first))
	out = binary.AppendUvarint(out, uint64(size))
	at := len(out)
	out = append(out, make([]byte, size)...)
	for _, d := range docs {
		out[at+int(d/8-first)] |= 1 << (d % 8)
	}
	return out
}

// uvarintLen is the number of bytes binary.AppendUvarint takes.
func uvarintLen(v uint64) int { return (bits.Len64(v|1) + 6) / 7 }
