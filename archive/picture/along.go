package picture

// pair joins two column rows so that one multiplication serves both: the sum
// of products is A + B·2^32 with signed A and B, taken apart afterwards.
func (r *resampler) pair() error {
	shift := uint(0)
	if r.half {
		shift = 32
	}
	for c, p := range r.paired {
		if !r.half {
			clear(p)
		}
		r.gather(p, c, shift)
	}
	if !r.half {
		r.half = true
		return nil
	}
	return r.flush(2)
}

// gather adds the samples of one channel to p, moved up by shift, or where they
// are folded every other one, twice, with its neighbours.
func (r *resampler) gather(p []uint64, channel int, shift uint) {
	col, step := r.column[channel:r.width], r.channels
	if !r.along.folded {
		for i, at := 0, 0; i < len(p) && at < len(col); i, at = i+1, at+step {
			p[i] += uint64(int64(col[at])) << (shift & 63)
		}
		return
	}
	before := int64(col[0])
	for i, at := 0, 0; i < len(p) && at < len(col); i, at = i+1, at+2*step {
		own := int64(col[at])
		after := own
		if at+step < len(col) {
			after = int64(col[at+step])
		}
		p[i] += uint64(before+2*own+after) << (shift & 63)
		before = after
	}
}

// flush resamples one or two rows along and emits them.
func (r *resampler) flush(rows int) error {
	r.half = false
	for c, p := range r.paired {
		r.resample(p, r.out[0][c], r.out[1][c])
	}
	for k := range rows {
		for c := range r.paired {
			if err := r.emit(c, r.y, r.out[k][c]); err != nil {
				return err
			}
		}
		r.y++
	}
	return nil
}

// resample weighs a pair of rows along and parts them.
func (r *resampler) resample(paired []uint64, a, b []uint16) {
	b = b[:len(a)]
	if r.along.same {
		for i := range a {
			a[i], b[i] = r.finish(paired[i])
		}
		return
	}
	taps := r.along.taps
	for i := range a {
		w := r.alongWeight[i*taps : (i+1)*taps]
		p := paired[r.along.first[i]:][:len(w)]
		var even, odd uint64
		k := 0
		for ; k+3 < len(w) && k+3 < len(p); k += 4 {
			even += p[k]*w[k] + p[k+1]*w[k+1]
			odd += p[k+2]*w[k+2] + p[k+3]*w[k+3]
		}
		for ; k < len(w) && k < len(p); k++ {
			even += p[k] * w[k]
		}
		a[i], b[i] = r.finish(even + odd)
	}
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
