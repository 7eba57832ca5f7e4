package jpeg

// huffman is one Huffman table, T.81 annex C and F.2.2.3, as a look-up by the
// next nine bits and, for longer codes, the limits of each length.
type huffman struct {
	// fast holds, by the next fastBits bits: code length in bits 0–4 (0: the
	// code is longer), run in 8–11, size in 12–15, and from bit 16 on the
	// signed value if its bits are within the look-up too; bits 0–4 then count
	// them as well and bit 5 is set.
	fast   [1 << fastBits]int32
	limit  [18]int32 // first code beyond each length, left-aligned to 16 bits
	offset [17]int32 // index of the first symbol of a length, less its code
	symbol []byte
}

const fastBits = 9

// newHuffman builds a table from the counts of each length and the symbols; nil
// if the codes do not fit, or a symbol is none of baseline's.
func newHuffman(counts, symbols []byte, ac bool) *huffman {
	if len(symbols) == 0 || len(symbols) > 256 {
		return nil
	}
	t := &huffman{symbol: symbols}
	code, at := int32(0), 0
	for length := 1; length <= 16; length++ {
		t.offset[length] = int32(at) - code
		for range counts[length-1] {
			if code >= 1<<length {
				return nil
			}
			s := symbols[at]
			if size := s & 15; !ac && s > 11 || ac && size > 10 {
				return nil
			}
			if length <= fastBits {
				t.fill(code, length, s)
			}
			code++
			at++
		}
		t.limit[length] = code << (16 - length)
		code <<= 1
	}
	t.limit[17] = 1 << 17
	return t
}

// fill enters a code into the look-up for all bits that may follow it.
func (t *huffman) fill(code int32, length int, symbol byte) {
	free := fastBits - length
	run, size := int32(symbol>>4), int(symbol&15)
	for rest := range int32(1) << free {
		e := int32(length) | run<<8 | int32(size)<<12
		if size > 0 && size <= free {
			value := rest >> (free - size)
			if value < 1<<(size-1) {
				value += 1 - 1<<size
			}
			e = int32(length+size) | 1<<5 | run<<8 | int32(size)<<12 | value<<16
		}
		t.fast[code<<free|rest] = e
	}
}
