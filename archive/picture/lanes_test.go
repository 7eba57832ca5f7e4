//go:build amd64

package picture

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// Wide registers come to the same sums as the loops in Go, bit for bit, whatever
// is left over at the end.
func TestWideLanes(t *testing.T) {
	if !wide {
		t.Skip("this processor has no AVX2")
	}
	defer func() { wide = true }()
	random := rand.New(rand.NewPCG(13, 14))
	for words := range 40 {
		for _, eight := range []bool{true, false} {
			most := uint64(1 << 13) // four weights below it keep 32-bit lanes whole
			if eight {
				most = 64
			}
			var taps [4]tap
			for k := range taps {
				row := make(inputRow, words)
				for i := range row {
					row[i] = random.Uint64()
				}
				taps[k] = tap{row: row, weight: random.Uint64N(most), flip: -random.Uint64N(2)}
			}
			var sums [2][2][]uint64
			for i := range sums {
				r := &resampler{eight: eight, sums: [2][]uint64{make([]uint64, words), make([]uint64, words)}}
				wide = i == 0
				r.add(&taps)
				sums[i] = r.sums
			}
			if !slices.Equal(sums[0][0], sums[1][0]) || !slices.Equal(sums[0][1], sums[1][1]) {
				t.Fatalf("%d words, eight bits %v: %x, in Go %x", words, eight, sums[0], sums[1])
			}
		}
	}
}
