package jpeg

import (
	"encoding/binary"
	"math"
	"math/bits"
)

// The forward transform of T.81 A.3.3, up to a factor of √8 in each direction,
// is X[0] = Σ y[n] and X[k] = √2 Σ y[n] cos((2n+1)kπ/16). The columns come
// first, two of them, x and x+4, in one 64-bit number lo + hi·2^32 with signed
// lo and hi; the eight bytes of a row fall into such pairs by shifting.
const (
	columnBits = 11
	rowBits    = 13
	keep       = 3 // bits of fraction after the columns
)

// cosines are √2·cos(kπ/16), k from 0 to 7, with bits of fraction.
func cosines(fraction int) (c [8]int64) {
	for k := range c {
		c[k] = int64(math.Round(math.Sqrt2 * math.Cos(float64(k)*math.Pi/16) * float64(int(1)<<fraction)))
	}
	return c
}

var columnCos, rowCos = cosines(columnBits), cosines(rowBits)

// forward transforms 8 × 8 samples. The result is the transform of T.81 times
// 8·2^keep, less the level shift.
func forward(pix []uint8, stride int, out *[64]int32) {
	const pair = 0xFF | 0xFF<<32
	var in [8]uint64
	for y := range in {
		in[y] = binary.LittleEndian.Uint64(pix[y*stride:])
	}
	c := &columnCos
	c1, c2, c3, c5, c6, c7 := c[1], c[2], c[3], c[5], c[6], c[7]
	const half, shift = 1 << (columnBits - keep - 1), columnBits - keep
	for x := range 4 {
		s := uint(8 * x)
		y0, y1, y2, y3 := int64(in[0]>>s&pair), int64(in[1]>>s&pair), int64(in[2]>>s&pair), int64(in[3]>>s&pair)
		y4, y5, y6, y7 := int64(in[4]>>s&pair), int64(in[5]>>s&pair), int64(in[6]>>s&pair), int64(in[7]>>s&pair)
		p0, p1, p2, p3 := y0+y7, y1+y6, y2+y5, y3+y4
		m0, m1, m2, m3 := y0-y7, y1-y6, y2-y5, y3-y4
		a, b, d, e := p0+p3, p1+p2, p0-p3, p1-p2
		for k, v := range [8]int64{
			(a + b) << columnBits, c1*m0 + c3*m1 + c5*m2 + c7*m3, c2*d + c6*e, c3*m0 - c7*m1 - c1*m2 - c5*m3,
			(a - b) << columnBits, c5*m0 - c1*m1 + c7*m2 + c3*m3, c6*d - c2*e, c7*m0 - c5*m1 + c3*m2 - c1*m3,
		} {
			low := int64(int32(v))
			out[8*k+x] = int32((low + half) >> shift)
			out[8*k+x+4] = int32(((v-low)>>32 + half) >> shift)
		}
	}
	rows(out)
	out[0] -= 64 * 128 << keep
}

// rows transforms the rows in place.
func rows(b *[64]int32) {
	c := &rowCos
	c1, c2, c3, c5, c6, c7 := c[1], c[2], c[3], c[5], c[6], c[7]
	const half = 1 << (rowBits - 1)
	for k := range 8 {
		r := (*[8]int32)(b[8*k:])
		y0, y1, y2, y3 := int64(r[0]), int64(r[1]), int64(r[2]), int64(r[3])
		y4, y5, y6, y7 := int64(r[4]), int64(r[5]), int64(r[6]), int64(r[7])
		p0, p1, p2, p3 := y0+y7, y1+y6, y2+y5, y3+y4
		m0, m1, m2, m3 := y0-y7, y1-y6, y2-y5, y3-y4
		a, e, d, f := p0+p3, p1+p2, p0-p3, p1-p2
		r[0], r[4] = int32(a+e), int32(a-e)
		r[2], r[6] = int32((c2*d+c6*f+half)>>rowBits), int32((c6*d-c2*f+half)>>rowBits)
		r[1] = int32((c1*m0 + c3*m1 + c5*m2 + c7*m3 + half) >> rowBits)
		r[3] = int32((c3*m0 - c7*m1 - c1*m2 - c5*m3 + half) >> rowBits)
		r[5] = int32((c5*m0 - c1*m1 + c7*m2 + c3*m3 + half) >> rowBits)
		r[7] = int32((c7*m0 - c5*m1 + c3*m2 - c1*m3 + half) >> rowBits)
	}
}

func bitLength(v int32) int {
	if v < 0 {
		v = -v
	}
	return bits.Len32(uint32(v))
}
