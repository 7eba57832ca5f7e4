package inflate

// A table decodes Huffman codes by looking up the next bits: primary of them
// in first, and where a code is longer, the rest in a part of further.
//
// An entry of 32 bits holds how many bits to drop in bits 24–29. If bits 30–31
// are not 0 they count literals, which stand in bits 0–23. Else bits 16–18 hold
// the kind: of a length or distance, bits 0–15 are its base and 20–23 the bits of
// its code alone (those to drop include its extra bits); of what goes on in
// further, they are the place there and the bits to look up.
type table struct {
	first   []uint32 // 1<<primary
	further []uint32
}

// The bits looked up at once. With more, packing a table of literals would cost
// more than it saves in blocks of the usual size, some 16,000 symbols.
const (
	literalBits  = 11
	distanceBits = 9
	lengthBits   = 7 // of the code length code, which has none longer
)

const (
	dropUnit  = 1 << 24
	dropMask  = 63 // of what is shifted down
	countUnit = 1 << 30
	codeShift = 20
	baseMask  = 1<<16 - 1

	kindMatch   = 1 << 16 // a length or a distance
	kindFurther = 2 << 16
	kindEnd     = 3 << 16
	kindNone    = 4 << 16 // no code
	kindMask    = 7 << 16
)

// build makes a table of code lengths, RFC 1951 section 3.2.2. Codes must fill
// the code space, but for a table of one code of one bit, and for an empty one.
func (t *table) build(lengths []uint8, primary int, meaning []uint32) bool {
	if t.first == nil {
		t.first = make([]uint32, 1<<primary)
	}
	var count [16]int
	for _, n := range lengths {
		count[n&15]++
	}
	whole, ok := complete(&count)
	if !ok {
		return false
	}
	if !whole {
		for i := range t.first {
			t.first[i] = kindNone
		}
	}
	var sorted [320]uint16 // symbols by length
	var at [17]int
	for n := 1; n <= 15; n++ {
		at[n+1] = at[n] + count[n]
	}
	for symbol, n := range lengths {
		if n > 0 {
			sorted[at[n]] = uint16(symbol)
			at[n]++
		}
	}
	// Codes are taken in order, the first bit lowest. Each length doubles the
	// table, which is copied: a shorter code does not look at the new bit.
	code, symbols := 0, sorted[:]
	for n := 1; n <= primary; n++ {
		half := 1 << (n - 1)
		copy(t.first[half:], t.first[:half])
		for _, symbol := range symbols[:count[n]] {
			t.first[code] = entry(meaning[symbol], n)
			code = following(code, n)
		}
		symbols = symbols[count[n]:]
	}
	t.further = t.further[:0]
	t.longer(primary, code, symbols, &count, meaning)
	return true
}

// entry is a meaning with a code of n bits.
func entry(meaning uint32, n int) uint32 {
	if meaning < countUnit && meaning&kindMask == kindMatch {
		meaning |= uint32(n) << codeShift
	}
	return meaning + uint32(n)*dropUnit
}

// complete reports whether codes fill the code space, and whether they are
// acceptable.
func complete(count *[16]int) (whole, ok bool) {
	left, codes := 1, 0
	for n := 1; n <= 15; n++ {
		left = left<<1 - count[n]
		if codes += count[n]; left < 0 {
			return false, false
		}
	}
	return left == 0, left == 0 || codes == count[1] && codes <= 1
}

// following is the code of n bits after code, the first bit lowest. After the
// last it is 0.
func following(code, n int) int {
	bit := 1 << (n - 1)
	for code&bit != 0 {
		bit >>= 1
	}
	return code&(bit-1) | bit
}

// longer puts codes of more than primary bits into further: for each beginning,
// a part as large as its longest code needs.
func (t *table) longer(primary, code int, symbols []uint16, count *[16]int, meaning []uint32) {
	start, part := -1, []uint32(nil)
	for n := primary + 1; n <= 15; n++ {
		for ; count[n] > 0; count[n]-- {
			if begin := code & (1<<primary - 1); begin != start {
				bits, left := n-primary, 1<<(n-primary)-count[n]
				for left > 0 && primary+bits < 15 {
					bits++
					left = left<<1 - count[primary+bits]
				}
				start = begin
				t.first[start] = kindFurther | uint32(bits)<<codeShift | uint32(len(t.further)) | uint32(primary)*dropUnit
				t.further = append(t.further, make([]uint32, 1<<bits)...)
				part = t.further[len(t.further)-1<<bits:]
			}
			for i := code >> primary; i < len(part); i += 1 << (n - primary) {
				part[i] = entry(meaning[symbols[0]], n-primary)
			}
			code, symbols = following(code, n), symbols[1:]
		}
	}
}

// pack puts up to three literals into one entry, where the bits looked up hold
// them all. What follows a literal of n bits in entry i stands in entry i>>n:
// before i, so that it is not packed itself yet.
func (t *table) pack(primary int) {
	first := t.first
	for i := len(first) - 1; i >= 0; i-- {
		e := first[i]
		if e < countUnit {
			continue
		}
		n := e >> 24 & dropMask
		f := first[i>>n]
		if n += f >> 24 & dropMask; f < countUnit || n > uint32(primary) {
			continue
		}
		e = 2*countUnit | n*dropUnit | f&0xFF<<8 | e&0xFF
		f = first[i>>n]
		if n += f >> 24 & dropMask; f >= countUnit && n <= uint32(primary) {
			e = 3*countUnit | n*dropUnit | f&0xFF<<16 | e&0xFFFF
		}
		first[i] = e
	}
}

// The meanings of literal and length symbols, and of distance symbols, RFC 1951
// section 3.2.5.
var (
	literalMeaning  = literalMeanings()
	distanceMeaning = distanceMeanings()
	plainMeaning    = func() (m [19]uint32) {
		for i := range m {
			m[i] = countUnit | uint32(i)
		}
		return m
	}()
)

func literalMeanings() (m [288]uint32) {
	for i := range 256 {
		m[i] = countUnit | uint32(i)
	}
	m[256] = kindEnd
	base := uint32(3)
	for i := range 28 {
		extra := uint32(max(0, i/4-1))
		m[257+i] = kindMatch | extra*dropUnit | base
		base += 1 << extra
	}
	m[285] = kindMatch | 258
	m[286], m[287] = kindNone, kindNone
	return m
}

func distanceMeanings() (m [32]uint32) {
	base := uint32(1)
	for i := range 30 {
		extra := uint32(max(0, i/2-1))
		m[i] = kindMatch | extra*dropUnit | base
		base += 1 << extra
	}
	m[30], m[31] = kindNone, kindNone
	return m
}
