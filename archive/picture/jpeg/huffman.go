package jpeg

import "slices"

// table is a Huffman table made for the symbols that occur.
type table struct {
	counts  [17]int // codes of each length
	symbols []uint8 // by length, then by symbol
	code    [256]uint32
	length  [256]uint8
}

// newTable makes the best table with codes of at most 16 bits, the code of all
// ones left free as T.81 asks (annex C and K.2).
func newTable(counts *[256]int) *table {
	t := &table{}
	lengths := limitedLengths(counts)
	for symbol, n := range lengths[:256] {
		if n > 0 {
			t.counts[n]++
			t.symbols = append(t.symbols, uint8(symbol))
		}
	}
	slices.SortStableFunc(t.symbols, func(a, b uint8) int { return lengths[a] - lengths[b] })
	code, at := uint32(0), 0
	for n := 1; n <= 16; n++ {
		for range t.counts[n] {
			s := t.symbols[at]
			t.code[s], t.length[s] = code, uint8(n)
			code++
			at++
		}
		code <<= 1
	}
	return t
}

// limitedLengths finds code lengths of at most 16 by package-merge (L. Larmore
// and D. Hirschberg, "A fast algorithm for optimal length-limited Huffman
// codes", J. ACM 37, 1990). A 257th symbol that never occurs takes part and
// gets one of the longest codes; since it is last among those, it stands for
// the code of all ones.
func limitedLengths(counts *[256]int) (lengths [257]int) {
	type item struct {
		weight int
		leaves []int16
	}
	leaves := []item{{0, []int16{256}}}
	for symbol, n := range counts {
		if n > 0 {
			leaves = append(leaves, item{n, []int16{int16(symbol)}})
		}
	}
	byWeight := func(a, b item) int { return a.weight - b.weight }
	slices.SortStableFunc(leaves, byWeight)
	var packages []item
	for range 16 {
		merged := append(slices.Clone(leaves), packages...)
		slices.SortStableFunc(merged, byWeight)
		packages = packages[:0:0]
		for i := 0; i+1 < len(merged); i += 2 {
			packages = append(packages, item{merged[i].weight + merged[i+1].weight, slices.Concat(merged[i].leaves, merged[i+1].leaves)})
		}
	}
	for _, p := range packages[:len(leaves)-1] {
		for _, symbol := range p.leaves {
			lengths[symbol]++
		}
	}
	return lengths
}
