package picture

import "encoding/binary"

// resampler reduces (or, for chroma, enlarges) one plane as its rows arrive:
// first down the columns, then along the rows. It keeps as many input rows as
// the kernel spans and no more.
//
// Several samples are worked on at once inside a 64-bit word: eight 8-bit or
// four 16-bit samples down the columns, two rows along the rows. A negative
// weight w times a sample x is taken as |w| times x's complement, which keeps
// all lanes positive; the constant that adds is taken off afterwards.
type resampler struct {
	down, along axis
	emit        func(y int, row []uint16) error

	eight  bool
	ring   []inputRow // by input row modulo its length
	got    int        // input rows so far
	y      int        // next output row
	column []int32    // one output row before it is resampled along
	paired []uint64   // two of them in one
	half   bool       // the first of a pair is in
	sums   [2][]uint64
	scale  int64 // final factor, 32 fractional bits
	out    [2][]uint16
}

// inputRow is a row in words: eight 8-bit samples or four 16-bit samples each.
type inputRow []uint64

const (
	evenBytes = 0x00FF00FF00FF00FF
	evenWords = 0x0000FFFF0000FFFF
	// tapsPerGroup bounds what is summed in one narrow lane: fewer give finer
	// weights and cost more. With 8 the error is below 0.5 % of the local contrast.
	tapsPerGroup = 8
)

// newResampler makes a resampler for rows of the given depth. emit gets each
// finished row, which is valid during the call only.
func newResampler(depth int, along, down geometry, emit func(int, []uint16) error) *resampler {
	r := &resampler{eight: depth == 8, emit: emit}
	// In 16-bit lanes 255·Σ|w| of a group must stay below 2^16, in 32-bit
	// lanes 65535·Σ|w| below 2^32.
	room, levels, downUnit, alongUnit := int32(65536), int64(65535), int32(1<<16), int32(1<<14)
	if r.eight {
		room, levels, downUnit, alongUnit = 256, 255, 900, 1<<12
	}
	// A paired sum must stay below 2^31: 255·900·2^12 and 65535·2^14, each
	// times Σ|w| of both directions, which is at most 1.5 each.
	r.down = newAxis(down, downUnit, room, tapsPerGroup)
	r.along = newAxis(along, alongUnit, 0, 0)
	if r.down.same {
		r.down.unit, r.down.taps = 1, 1
		if r.eight {
			r.down.unit = 128
		}
	}
	words := (along.in + 3) / 4
	if r.eight {
		words = (along.in + 7) / 8
	}
	r.ring = make([]inputRow, r.down.taps+1)
	backing := make([]uint64, words*len(r.ring))
	for i := range r.ring {
		r.ring[i] = backing[i*words : (i+1)*words]
	}
	for i := range r.sums {
		r.sums[i] = make([]uint64, words)
	}
	r.column = make([]int32, 8*words)
	r.paired = make([]uint64, along.in)
	r.out = [2][]uint16{make([]uint16, along.out), make([]uint16, along.out)}
	unit := int64(r.unit16())
	if !r.along.same {
		unit *= int64(alongUnit)
	}
	r.scale = (65535<<32 + unit*levels/2) / (unit * levels)
	return r
}

// unit16 is the weight sum that a column value carries.
func (r *resampler) unit16() int32 {
	if r.eight {
		return r.down.unit
	}
	return 1 // 16-bit columns are brought back to sample range
}

// row8 takes the next input row of 8-bit samples.
func (r *resampler) row8(row []uint8) error {
	dst := r.ring[r.got%len(r.ring)]
	n := len(row) / 8
	for i := range n {
		dst[i] = binary.LittleEndian.Uint64(row[8*i:])
	}
	if rest := row[8*n:]; len(rest) > 0 {
		var last [8]byte
		copy(last[:], rest)
		dst[n] = binary.LittleEndian.Uint64(last[:])
	}
	return r.advance()
}

// row16 takes the next input row of 16-bit samples.
func (r *resampler) row16(row []uint16) error {
	dst := r.ring[r.got%len(r.ring)]
	n := len(row) / 4
	for i := range n {
		s := row[4*i : 4*i+4 : 4*i+4]
		dst[i] = uint64(s[0]) | uint64(s[1])<<16 | uint64(s[2])<<32 | uint64(s[3])<<48
	}
	if rest := row[4*n:]; len(rest) > 0 {
		dst[n] = 0
		for k, v := range rest {
			dst[n] |= uint64(v) << (16 * k)
		}
	}
	return r.advance()
}

// advance makes every output row whose input is complete.
func (r *resampler) advance() error {
	r.got++
	for r.y+b2i(r.half) < r.down.out {
		next := r.y + b2i(r.half)
		last := next
		if !r.down.same {
			last = r.down.first[next] + r.down.taps - 1
		}
		if last >= r.got {
			break
		}
		r.columns(next)
		if err := r.pair(); err != nil {
			return err
		}
	}
	if r.half && r.got == r.down.in {
		return r.flush(1)
	}
	return nil
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

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
			r.spread16(int64(bias)*65535, g > 0)
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
	even := r.sums[0]
	odd := r.sums[1][:len(even)]
	r0, r1, r2, r3 := t[0].row[:len(even)], t[1].row[:len(even)], t[2].row[:len(even)], t[3].row[:len(even)]
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
// range: (v − bias) / unit, rounded.
func (r *resampler) spread16(bias int64, more bool) {
	even, col := r.sums[0], r.column
	odd := r.sums[1][:len(even)]
	if !more {
		clear(col)
	}
	factor := (int64(1)<<40 + int64(r.down.unit)/2) / int64(r.down.unit)
	bias = bias*factor - 1<<39
	for i, e := range even {
		o, c := odd[i], col[4*i:4*i+4:4*i+4]
		c[0] += int32((int64(e&0xFFFFFFFF)*factor - bias) >> 40)
		c[1] += int32((int64(o&0xFFFFFFFF)*factor - bias) >> 40)
		c[2] += int32((int64(e>>32)*factor - bias) >> 40)
		c[3] += int32((int64(o>>32)*factor - bias) >> 40)
	}
}

// copyColumn takes a row as it is, times the unit.
func (r *resampler) copyColumn(row inputRow) {
	if r.eight {
		for i, v := range row {
			for k := range 8 {
				r.column[8*i+k] = int32(v>>(8*k)&0xFF) * r.down.unit
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

// pair joins two column rows so that one multiplication serves both: the sum
// of products is A + B·2^32 with signed A and B, taken apart afterwards.
func (r *resampler) pair() error {
	col := r.column[:len(r.paired)]
	if !r.half {
		for i, v := range col {
			r.paired[i] = uint64(int64(v))
		}
		r.half = true
		return nil
	}
	for i, v := range col {
		r.paired[i] += uint64(int64(v)) << 32
	}
	return r.flush(2)
}

// flush resamples one or two rows along and emits them.
func (r *resampler) flush(rows int) error {
	r.half = false
	a, b := r.out[0], r.out[1][:len(r.out[0])]
	if r.along.same {
		for i, p := range r.paired {
			a[i], b[i] = r.finish(p)
		}
	} else {
		taps := r.along.taps
		for i := range a {
			w := r.along.weight[i*taps : (i+1)*taps]
			p := r.paired[r.along.first[i]:][:len(w)]
			var sum uint64
			for k, v := range w {
				sum += p[k] * uint64(int64(v))
			}
			a[i], b[i] = r.finish(sum)
		}
	}
	for k := range rows {
		if err := r.emit(r.y, r.out[k]); err != nil {
			return err
		}
		r.y++
	}
	return nil
}

// finish parts a paired sum and scales both to 16 bits.
func (r *resampler) finish(sum uint64) (uint16, uint16) {
	low := int64(int32(sum))
	high := int64(int32((sum - uint64(low)) >> 32))
	return r.clip(low), r.clip(high)
}

func (r *resampler) clip(v int64) uint16 {
	v = (v*r.scale + 1<<31) >> 32
	if uint64(v) > 65535 {
		if v < 0 {
			return 0
		}
		return 65535
	}
	return uint16(v)
}
