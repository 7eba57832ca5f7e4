package picture

// columns weighs the input rows of output row y into r.column.
func (r *resampler) columns(y int) {
	if r.down.same {
		r.copyColumn(r.ring[y%len(r.ring)])
		return
	}
	first, taps, groups := r.down.first[y], r.down.taps, r.down.groups
	weights := r.down.weight[y*taps : (y+1)*taps]
	for g := range groups {
		clear(r.sums[0])
		clear(r.sums[1])
		bias := int32(0)
		var four [4]tap
		n := 0
		for k := g; k < taps; k += groups {
			w := weights[k]
			if w == 0 {
				continue
			}
			t := tap{row: r.ring[(first+k)%len(r.ring)], weight: uint64(w)}
			if w < 0 {
				t.weight, t.flip = uint64(-w), ^uint64(0)
				bias -= w
			}
			four[n] = t
			if n++; n == 4 {
				r.add(&four)
				n = 0
			}
		}
		if n > 0 {
			for ; n < 4; n++ {
				four[n] = tap{row: four[0].row}
			}
			r.add(&four)
		}
		if r.eight {
			r.spread8(bias*255, g > 0)
		} else {
			r.spread16(int64(bias) * 65535)
		}
	}
}

// tap is one input row with its weight; flip is all ones to complement it.
type tap struct {
	row          inputRow
	weight, flip uint64
}

// add adds four weighted rows to the sums of even and odd samples.
func (r *resampler) add(t *[4]tap) {
	done := addWide(r.sums[0], r.sums[1], t, r.eight)
	even := r.sums[0][done:]
	odd := r.sums[1][done:][:len(even)]
	r0, r1, r2, r3 := t[0].row[done:][:len(even)], t[1].row[done:][:len(even)], t[2].row[done:][:len(even)], t[3].row[done:][:len(even)]
	w0, w1, w2, w3 := t[0].weight, t[1].weight, t[2].weight, t[3].weight
	f0, f1, f2, f3 := t[0].flip, t[1].flip, t[2].flip, t[3].flip
	if r.eight {
		for i := range even {
			a, b, c, d := r0[i]^f0, r1[i]^f1, r2[i]^f2, r3[i]^f3
			even[i] += (a&evenBytes)*w0 + (b&evenBytes)*w1 + (c&evenBytes)*w2 + (d&evenBytes)*w3
			odd[i] += (a>>8&evenBytes)*w0 + (b>>8&evenBytes)*w1 + (c>>8&evenBytes)*w2 + (d>>8&evenBytes)*w3
		}
		return
	}
	for i := range even {
		a, b, c, d := r0[i]^f0, r1[i]^f1, r2[i]^f2, r3[i]^f3
		even[i] += (a&evenWords)*w0 + (b&evenWords)*w1 + (c&evenWords)*w2 + (d&evenWords)*w3
		odd[i] += (a>>16&evenWords)*w0 + (b>>16&evenWords)*w1 + (c>>16&evenWords)*w2 + (d>>16&evenWords)*w3
	}
}

// spread8 takes the sums apart into r.column, or adds to what is there, and
// takes the bias off.
func (r *resampler) spread8(b int32, more bool) {
	even, col := r.sums[0], r.column
	odd := r.sums[1][:len(even)]
	if !more {
		clear(col)
	}
	for i, e := range even {
		o, c := odd[i], col[8*i:8*i+8:8*i+8]
		c[0] += int32(e&0xFFFF) - b
		c[1] += int32(o&0xFFFF) - b
		c[2] += int32(e>>16&0xFFFF) - b
		c[3] += int32(o>>16&0xFFFF) - b
		c[4] += int32(e>>32&0xFFFF) - b
		c[5] += int32(o>>32&0xFFFF) - b
		c[6] += int32(e>>48) - b
		c[7] += int32(o>>48) - b
	}
}

// spread16 does the same for 32-bit lanes and brings them back to sample
// range, rounded.
func (r *resampler) spread16(bias int64) {
	even, col, shift := r.sums[0], r.column, r.shift&31
	odd := r.sums[1][:len(even)]
	bias -= 1 << shift >> 1
	for i, e := range even {
		o, c := odd[i], col[4*i:4*i+4:4*i+4]
		c[0] = int32((int64(e&0xFFFFFFFF) - bias) >> shift)
		c[1] = int32((int64(o&0xFFFFFFFF) - bias) >> shift)
		c[2] = int32((int64(e>>32) - bias) >> shift)
		c[3] = int32((int64(o>>32) - bias) >> shift)
	}
}

// copyColumn takes a row as it is, times the unit.
func (r *resampler) copyColumn(row inputRow) {
	if r.eight {
		for i, v := range row {
			for k := range 8 {
				r.column[8*i+k] = int32(v>>(8*k)&0xFF) * 128
			}
		}
		return
	}
	for i, v := range row {
		for k := range 4 {
			r.column[4*i+k] = int32(v >> (16 * k) & 0xFFFF)
		}
	}
}
