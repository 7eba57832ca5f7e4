package search

import "testing"

func TestShortestCoding(t *testing.T) {
	every := func(step, n int) (docs []uint32) {
		for i := range n {
			docs = append(docs, uint32(i*step))
		}
		return docs
	}
	third := every(1, 3000) // a list in which about one document in three is left out, without pattern
	kept := third[:0]
	for _, d := range third {
		if d*d%7 != 2 {
			kept = append(kept, d)
		}
	}
	for _, c := range []struct {
		name   string
		docs   []uint32
		coding int
		atMost int
	}{
		{"one", []uint32{5000}, codingGaps, 3},
		{"far apart", every(100, 50), codingGaps, 51},
		{"all", every(1, 10_000), codingRuns, 4},
		{"two seasons", append(every(1, 500), 9000, 9001, 9002, 9003, 9004), codingRuns, 8},
		{"dense", kept, codingBitmap, 3000/8 + 4},
	} {
		coding, body := shortest(c.docs)
		if coding != c.coding || len(body) > c.atMost {
			t.Errorf("%s: coding %d in %d bytes, want %d in at most %d", c.name, coding, len(body), c.coding, c.atMost)
		}
	}
}
