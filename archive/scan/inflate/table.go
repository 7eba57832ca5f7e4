package inflate

import (
	"math/bits"
	"slices"
)

// table decodes Huffman codes by looking up the next bits. The first part is
// looked up by primary bits; codes that are longer lead to a part further on.
//
// An entry holds how many bits to drop in bits 0–7, the extra bits of a length
// or distance, or the bits to look up further on, in bits 8–12, its kind in
// bits 13–15, and a literal, a base or a place further on in bits 16–31.
type table struct {
	primary uint
	entries []uint32
}

// mostPrimary is the most bits looked up at once.
const mostPrimary = 11

const (
	kindLiteral = iota << 13
	kindMatch   // a length or a distance
	kindFurther
	kindEnd
	kindNone // no code
	kindMask = 7 << 13
)

// build makes a table of code lengths, RFC 1951 section 3.2.2. Codes must fill
// the code space, but for a table of one code of one bit, and for an empty one.
func (t *table) build(lengths []uint8, primary uint, meaning []uint32) bool {
	var count [16]int
	for _, n := range lengths {
		count[n]++
	}
	count[0] = 0
	longest := uint(0)
	code, next := 0, [17]int{}
	for n := 1; n <= 15; n++ {
		code <<= 1
		next[n] = code
		if code += count[n]; count[n] > 0 {
			longest = uint(n)
		}
		if code > 1<<n {
			return false
		}
	}
	whole := code == 1<<15
	if !whole && longest > 1 {
		return false
	}
	t.primary = min(primary, max(longest, 1))
	size := 1 << t.primary
	if cap(t.entries) < size {
		t.entries = make([]uint32, size, 2*size)
	}
	t.entries = t.entries[:size]
	if !whole {
		for i := range t.entries {
			t.entries[i] = kindNone
		}
	}
	if longest > t.primary {
		t.further(lengths, next)
	}
	for symbol, n := range lengths {
		if n == 0 {
			continue
		}
		reversed := int(bits.Reverse16(uint16(next[n])) >> (16 - n))
		next[n]++
		if n := uint(n); n <= t.primary {
			for i := reversed; i < size; i += 1 << n {
				t.entries[i] = meaning[symbol] | uint32(n)
			}
		} else {
			e := t.entries[reversed&(size-1)]
			part := t.entries[e>>16:][:1<<(e>>8&31)]
			for i := reversed >> t.primary; i < len(part); i += 1 << (n - t.primary) {
				part[i] = meaning[symbol] | uint32(n-t.primary)
			}
		}
	}
	return true
}

// further makes room for codes longer than primary: for each beginning of such
// a code, a part as large as its longest code needs.
func (t *table) further(lengths []uint8, next [17]int) {
	size := 1 << t.primary
	var need [1 << mostPrimary]uint8
	for _, n := range lengths {
		if n == 0 {
			continue
		}
		reversed := int(bits.Reverse16(uint16(next[n])) >> (16 - n))
		next[n]++
		if start := reversed & (size - 1); uint(n) > t.primary {
			need[start] = max(need[start], n-uint8(t.primary))
		}
	}
	for start, n := range need[:size] {
		if n > 0 {
			t.entries[start] = kindFurther | uint32(n)<<8 | uint32(len(t.entries))<<16 | uint32(t.primary)
			t.entries = slices.Grow(t.entries, 1<<n)[:len(t.entries)+1<<n]
		}
	}
}

// The meanings of literal and length symbols, and of distance symbols, RFC 1951
// section 3.2.5.
var (
	literalMeaning  = literalMeanings()
	distanceMeaning = distanceMeanings()
	plainMeaning    = func() (m [19]uint32) {
		for i := range m {
			m[i] = uint32(i) << 16
		}
		return m
	}()
)

func literalMeanings() (m [288]uint32) {
	for i := range 256 {
		m[i] = kindLiteral | uint32(i)<<16
	}
	m[256] = kindEnd
	base := uint32(3)
	for i := range 28 {
		extra := uint32(max(0, i/4-1))
		m[257+i] = kindMatch | extra<<8 | base<<16
		base += 1 << extra
	}
	m[285] = kindMatch | 258<<16
	m[286], m[287] = kindNone, kindNone
	return m
}

func distanceMeanings() (m [32]uint32) {
	base := uint32(1)
	for i := range 30 {
		extra := uint32(max(0, i/2-1))
		m[i] = kindMatch | extra<<8 | base<<16
		base += 1 << extra
	}
	m[30], m[31] = kindNone, kindNone
	return m
}
