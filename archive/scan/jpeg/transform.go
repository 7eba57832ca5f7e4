package jpeg

import (
	"encoding/binary"
	"math"
)

// block is 8 × 8 coefficients in natural order, multiplied out.
type block [64]int32

// natural is the place in natural order of each zigzag place, T.81 figure 5.
var natural = func() (n [64]uint8) {
	x, y, up := 0, 0, true
	for i := range n {
		n[i] = uint8(8*y + x)
		switch {
		case up && x == 7:
			y, up = y+1, false
		case up && y == 0:
			x, up = x+1, false
		case !up && y == 7:
			x, up = x+1, true
		case !up && x == 0:
			y, up = y+1, true
		case up:
			x, y = x+1, y-1
		default:
			x, y = x-1, y+1
		}
	}
	return n
}()

// reach is, by the zigzag place of the last coefficient that is set, how many
// rows of coefficients may hold any.
var reach = func() (r [64]int) {
	for i := range r {
		for _, n := range natural[:i+1] {
			r[i] = max(r[i], int(n/8)+1)
		}
	}
	return r
}()

// The inverse transform of T.81 A.3.3, up to a factor of √8 in each direction,
// is y[n] = X[0] + √2 Σ X[k] cos((2n+1)kπ/16). It falls into an even half, of
// X0, X2, X4, X6, and an odd half, of X1, X3, X5, X7: y[n] is their sum and
// y[7−n] their difference. First the rows are transformed, which leaves keep
// bits of fraction, then the columns. There two columns, x and x+4, share one
// 64-bit number, lo + hi·2^32 with signed lo and hi: sums, and products with
// constants, of such numbers are right in both as long as each stays within 32
// bits, which wildest and the sizes of the constants see to:
// 2^11 · 10.7 (row) · 2^keep · 10.7 (column) · 2^columnBits < 2^31.
const (
	rowBits    = 13
	columnBits = 11
	keep       = 2
	down       = columnBits + keep + 3
	wildest    = 1 << 11 // coefficients of an 8-bit picture stay below 1,200
)

// cosines are √2·cos(kπ/16), k from 0 to 7, with bits of fraction.
func cosines(bits int) (c [8]int64) {
	for k := range c {
		c[k] = int64(math.Round(math.Sqrt2 * math.Cos(float64(k)*math.Pi/16) * float64(int(1)<<bits)))
	}
	return c
}

var rowCos, columnCos = cosines(rowBits), cosines(columnBits)

// rows transforms the first n rows into w: row r, columns x and x+4 in one.
func (b *block) rows(n int, w *[32]int64) {
	c := &rowCos
	c1, c2, c3, c5, c6, c7 := c[1], c[2], c[3], c[5], c[6], c[7]
	const half, shift = 1 << (rowBits - keep - 1), rowBits - keep
	for r := range n {
		in := (*[8]int32)(b[8*r:])
		out := (*[4]int64)(w[4*r:])
		if in[1]|in[2]|in[3]|in[4]|in[5]|in[6]|in[7] == 0 {
			v := int64(in[0]) << keep
			v += v << 32
			out[0], out[1], out[2], out[3] = v, v, v, v
			continue
		}
		x0, x1, x2, x3 := int64(in[0]), int64(in[1]), int64(in[2]), int64(in[3])
		x4, x5, x6, x7 := int64(in[4]), int64(in[5]), int64(in[6]), int64(in[7])
		a, d := (x0+x4)<<rowBits+half, (x0-x4)<<rowBits+half
		p, q := c2*x2+c6*x6, c6*x2-c2*x6
		e0, e1, e2, e3 := a+p, d+q, d-q, a-p
		o0 := c1*x1 + c3*x3 + c5*x5 + c7*x7
		o1 := c3*x1 - c7*x3 - c1*x5 - c5*x7
		o2 := c5*x1 - c1*x3 + c7*x5 + c3*x7
		o3 := c7*x1 - c5*x3 + c3*x5 - c1*x7
		out[0] = (e0+o0)>>shift + (e3-o3)>>shift<<32
		out[1] = (e1+o1)>>shift + (e2-o2)>>shift<<32
		out[2] = (e2+o2)>>shift + (e1-o1)>>shift<<32
		out[3] = (e3+o3)>>shift + (e0-o0)>>shift<<32
	}
}

// bias is the level shift of 128 and the half for rounding, in both columns.
const bias = (128<<down + 1<<(down-1)) * (1<<32 + 1)

// outside are the bits that are set if a result, or its neighbour's borrow, does
// not lie in 0–255.
const outside = 0xFF<<(down+8) | 0xFF<<(down+8+32)

// columns transforms the columns in place; the result has down bits of
// fraction. It returns all results or'ed together.
func columns(w *[32]int64) (seen int64) {
	c := &columnCos
	c1, c2, c3, c5, c6, c7 := c[1], c[2], c[3], c[5], c[6], c[7]
	for j := range 4 {
		x0, x1, x2, x3 := w[j], w[j+4], w[j+8], w[j+12]
		x4, x5, x6, x7 := w[j+16], w[j+20], w[j+24], w[j+28]
		a, d := (x0+x4)<<columnBits+bias, (x0-x4)<<columnBits+bias
		p, q := c2*x2+c6*x6, c6*x2-c2*x6
		e0, e1, e2, e3 := a+p, d+q, d-q, a-p
		o0 := c1*x1 + c3*x3 + c5*x5 + c7*x7
		o1 := c3*x1 - c7*x3 - c1*x5 - c5*x7
		o2 := c5*x1 - c1*x3 + c7*x5 + c3*x7
		o3 := c7*x1 - c5*x3 + c3*x5 - c1*x7
		x0, x7, x1, x6 = e0+o0, e0-o0, e1+o1, e1-o1
		x2, x5, x3, x4 = e2+o2, e2-o2, e3+o3, e3-o3
		seen |= x0 | x1 | x2 | x3 | x4 | x5 | x6 | x7
		w[j], w[j+4], w[j+8], w[j+12], w[j+16], w[j+20], w[j+24], w[j+28] = x0, x1, x2, x3, x4, x5, x6, x7
	}
	return seen
}

// columns4 is columns where rows 4 to 7 hold nothing.
func columns4(w *[32]int64) (seen int64) {
	c := &columnCos
	c1, c2, c3, c5, c6, c7 := c[1], c[2], c[3], c[5], c[6], c[7]
	for j := range 4 {
		x0, x1, x2, x3 := w[j], w[j+4], w[j+8], w[j+12]
		a := x0<<columnBits + bias
		p, q := c2*x2, c6*x2
		e0, e1, e2, e3 := a+p, a+q, a-q, a-p
		o0, o1, o2, o3 := c1*x1+c3*x3, c3*x1-c7*x3, c5*x1-c1*x3, c7*x1-c5*x3
		x0, x1, x2, x3 = e0+o0, e1+o1, e2+o2, e3+o3
		x4, x5, x6, x7 := e3-o3, e2-o2, e1-o1, e0-o0
		seen |= x0 | x1 | x2 | x3 | x4 | x5 | x6 | x7
		w[j], w[j+4], w[j+8], w[j+12], w[j+16], w[j+20], w[j+24], w[j+28] = x0, x1, x2, x3, x4, x5, x6, x7
	}
	return seen
}

// inverse transforms a block whose last coefficient is at zigzag place last,
// and writes 8 × 8 samples, rounded and clipped, to dst.
func (b *block) inverse(last int, dst []uint8, stride int) {
	if last == 0 {
		v := uint64(max(0, min(255, (b[0]+4)>>3+128))) * 0x0101010101010101
		for range 8 {
			binary.LittleEndian.PutUint64(dst, v)
			dst = dst[min(stride, len(dst)):]
		}
		return
	}
	var w [32]int64
	var seen int64
	n := reach[last]
	b.rows(n, &w)
	if n <= 4 {
		seen = columns4(&w)
	} else {
		seen = columns(&w)
	}
	const m = 0xFF | 0xFF<<32
	clip := uint64(seen)&outside != 0
	for r := range 8 {
		s := (*[4]int64)(w[4*r:])
		if clip {
			for i, v := range s {
				s[i] = clipped(v)
			}
		}
		v := uint64(s[0])>>down&m | uint64(s[1])>>(down-8)&(m<<8) | uint64(s[2])>>(down-16)&(m<<16) | uint64(s[3])<<(24-down)&(m<<24)
		binary.LittleEndian.PutUint64(dst, v)
		dst = dst[min(stride, len(dst)):]
	}
}

// clipped brings both halves of a result into 0–255.
func clipped(v int64) int64 {
	const top = 255<<down | 1<<down - 1
	low := int64(int32(v))
	high := (v - low) >> 32
	return max(0, min(top, low)) | max(0, min(top, high))<<32
}

// Of four samples instead of eight the inverse transform is, up to a factor of
// √8 again, y[n] = X[0] + √2 Σ X[k] cos((2n+1)kπ/8), k to 3: the picture at half
// the size, without the frequencies that this cannot hold.
var (
	rowA, rowB       = halfCosines(rowBits)
	columnA, columnB = halfCosines(columnBits)
)

func halfCosines(bits int) (a, b int64) {
	one := math.Sqrt2 * float64(int(1)<<bits)
	return int64(math.Round(one * math.Cos(math.Pi/8))), int64(math.Round(one * math.Cos(3*math.Pi/8)))
}

// inverseHalf is inverse to 4 × 4 samples.
func (b *block) inverseHalf(last int, dst []uint8, stride int) {
	if last == 0 {
		v := uint32(max(0, min(255, (b[0]+4)>>3+128))) * 0x01010101
		for range 4 {
			binary.LittleEndian.PutUint32(dst, v)
			dst = dst[min(stride, len(dst)):]
		}
		return
	}
	var w [8]int64 // row r, columns x and x+2 in one
	const half, shift = 1 << (rowBits - keep - 1), rowBits - keep
	for r := range min(4, reach[last]) {
		x0, x1, x2, x3 := int64(b[8*r]), int64(b[8*r+1]), int64(b[8*r+2]), int64(b[8*r+3])
		e0, e1 := (x0+x2)<<rowBits+half, (x0-x2)<<rowBits+half
		o0, o1 := rowA*x1+rowB*x3, rowB*x1-rowA*x3
		w[2*r] = (e0+o0)>>shift + (e1-o1)>>shift<<32
		w[2*r+1] = (e1+o1)>>shift + (e0-o0)>>shift<<32
	}
	var seen int64
	for j := range 2 {
		x0, x1, x2, x3 := w[j], w[j+2], w[j+4], w[j+6]
		e0, e1 := (x0+x2)<<columnBits+bias, (x0-x2)<<columnBits+bias
		o0, o1 := columnA*x1+columnB*x3, columnB*x1-columnA*x3
		w[j], w[j+2], w[j+4], w[j+6] = e0+o0, e1+o1, e1-o1, e0-o0
		seen |= w[j] | w[j+2] | w[j+4] | w[j+6]
	}
	clip := uint64(seen)&outside != 0
	for r := range 4 {
		s, t := w[2*r], w[2*r+1]
		if clip {
			s, t = clipped(s), clipped(t)
		}
		v := uint32(s)>>down&0xFF | uint32(t)>>down&0xFF<<8 | uint32(s>>(32+down))&0xFF<<16 | uint32(t>>(32+down))&0xFF<<24
		binary.LittleEndian.PutUint32(dst, v)
		dst = dst[min(stride, len(dst)):]
	}
}
