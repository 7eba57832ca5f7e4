package jpeg

// lumaTable and chromaTable are T.81 annex K.1, in natural order.
var lumaTable = [64]int{
	16, 11, 10, 16, 24, 40, 51, 61,
	12, 12, 14, 19, 26, 58, 60, 55,
	14, 13, 16, 24, 40, 57, 69, 56,
	14, 17, 22, 29, 51, 87, 80, 62,
	18, 22, 37, 56, 68, 109, 103, 77,
	24, 35, 55, 64, 81, 104, 113, 92,
	49, 64, 78, 87, 103, 121, 120, 101,
	72, 92, 95, 98, 112, 100, 103, 99,
}

var chromaTable = [64]int{
	17, 18, 24, 47, 99, 99, 99, 99,
	18, 21, 26, 66, 99, 99, 99, 99,
	24, 26, 56, 99, 99, 99, 99, 99,
	47, 66, 99, 99, 99, 99, 99, 99,
	99, 99, 99, 99, 99, 99, 99, 99,
	99, 99, 99, 99, 99, 99, 99, 99,
	99, 99, 99, 99, 99, 99, 99, 99,
	99, 99, 99, 99, 99, 99, 99, 99,
}

// zigzag is the natural place of each zigzag place, T.81 figure 5.
var zigzag = func() (n [64]uint8) {
	i := 0
	for sum := range 15 {
		for k := range sum + 1 {
			x, y := k, sum-k
			if sum%2 == 1 {
				x, y = y, x
			}
			if x < 8 && y < 8 {
				n[i] = uint8(8*y + x)
				i++
			}
		}
	}
	return n
}()

// divisors quantise.
type divisors struct {
	table [64]uint8 // natural order
	half  [64]int32 // below this a coefficient becomes 0
	by    [64]int64 // reciprocal, 32 bits of fraction
	order [64]uint8
}

// newDivisors scales a table by quality as the Independent JPEG Group does: 50
// leaves it, 100 makes all ones.
func newDivisors(table *[64]int, quality int) (d divisors) {
	scale := 200 - 2*quality
	if quality < 50 {
		scale = 5000 / quality
	}
	for i, v := range table {
		q := max(1, min(255, (v*scale+50)/100))
		d.table[i] = uint8(q)
		whole := int64(q) << (keep + 3)
		d.half[i] = int32(whole / 2)
		d.by[i] = (1<<32 + whole - 1) / whole
	}
	d.order = zigzag
	return d
}

// quantise divides by the table, halves away from zero.
func (d *divisors) quantise(b *[64]int32) {
	for i, v := range b {
		half := d.half[i]
		if v < half && v > -half {
			b[i] = 0
			continue
		}
		sign := v >> 31
		n := int32(int64((v^sign)-sign+half) * d.by[i] >> 32)
		b[i] = (n ^ sign) - sign
	}
}
