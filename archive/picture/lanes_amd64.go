package picture

import "golang.org/x/sys/cpu"

// wide says that the processor has AVX2, and that lanes of four words are added
// at once.
var wide = cpu.X86.HasAVX2

// addBytes and addWords add four weighted rows to the sums of even and odd
// samples, four words of each at a time; n is the number of words, a multiple of
// 4. They are in lanes_amd64.s, and come to what add's own loops come to.
//
//go:noescape
func addBytes(even, odd *uint64, t *[4]tap, n int)

//go:noescape
func addWords(even, odd *uint64, t *[4]tap, n int)

// addWide adds what it can of the rows and says how many words that was.
func addWide(even, odd []uint64, t *[4]tap, eight bool) int {
	n := len(even) &^ 3
	if !wide || n == 0 {
		return 0
	}
	_ = odd[:n]
	for k := range t {
		_ = t[k].row[:n]
	}
	if eight {
		addBytes(&even[0], &odd[0], t, n)
	} else {
		addWords(&even[0], &odd[0], t, n)
	}
	return n
}
