package picture

import (
	"encoding/binary"
	"math/bits"
)

// resampler reduces (or, for chroma, enlarges) one plane as its rows arrive:
// first down the columns, then along the rows. It keeps as many input rows as
// the kernel spans and no more. Samples may be interleaved; down the columns
// that makes no difference, along the rows each channel is taken by itself.
//
// Several samples are worked on at once inside a 64-bit word: eight 8-bit or
// four 16-bit samples down the columns, two rows along the rows. A negative
// weight w times a sample x is taken as |w| times x's complement, which keeps
// all lanes positive; the constant that adds is taken off afterwards.
type resampler struct {
	down, along axis
	alongWeight []uint64 // along.weight, sign-extended
	channels    int
	emit        emitter

	eight  bool
	height int        // input rows in all
	width  int        // samples in an input row
	ring   []inputRow // by input row modulo its length
	rows   int        // input rows so far
	odd    inputRow   // the last row of odd number, for folding
	spare  inputRow   // the one that is coming in
	got    int        // input rows so far, after folding
	y      int        // next output row
	column []int32    // one output row before it is resampled along
	paired [][]uint64 // two of them in one, by channel
	half   bool       // the first of a pair is in
	sums   [2][]uint64
	shift  uint  // of 16-bit column sums
	scale  int64 // final factor, 32 fractional bits
	out    [2][][]uint16
}

// emitter takes a finished row of one channel. The row is valid during the
// call only.
type emitter func(channel, y int, row []uint16) error

// inputRow is a row in words: eight 8-bit samples or four 16-bit samples each.
type inputRow []uint64

const (
	evenBytes = 0x00FF00FF00FF00FF
	evenWords = 0x0000FFFF0000FFFF
	// tapsPerGroup bounds what is summed in one 16-bit lane: fewer give finer
	// weights and cost more. With 8 the error is below 0.5 % of the local
	// contrast.
	tapsPerGroup = 8
)

// newResampler makes a resampler for rows of the given depth and number of
// interleaved channels. Sizes along are those of one channel.
func newResampler(depth, channels int, along, down geometry, emit emitter) *resampler {
	r := &resampler{eight: depth == 8, height: down.in, width: along.in * channels, channels: channels, emit: emit}
	// A paired sum must stay below 2^31: 255·900·2^12 and 65535·2^14 do, each
	// times Σ|w| of both directions, which is 1.5 at most but at odd edges.
	unit, levels, alongUnit := int64(1), int64(65535), int32(1<<14)
	if r.eight {
		// In 16-bit lanes 255·Σ|w| of a group must stay below 2^16.
		levels, alongUnit = 255, 1<<12
		r.down = newAxis(down, false, 900, 256, tapsPerGroup)
		if unit = int64(r.down.unit); r.down.same {
			unit = 128
		}
	} else {
		// In 32-bit lanes 65535·Σ|w| must stay below 2^32. The unit is a
		// power of two, by which columns are brought back to sample range.
		r.down = newAxis(down, folds(down.scale), 1<<15, 0, 0)
		if r.down.heaviest > 1.9 {
			r.down = newAxis(down, r.down.folded, 1<<13, 0, 0)
		}
		r.shift = uint(bits.TrailingZeros32(uint32(r.down.unit)))
	}
	parts := int64(1) // along the rows, folded samples are sums of four
	if folds(along.scale) {
		parts = 4
	}
	alongUnit /= int32(parts)
	r.along = newAxis(along, parts > 1, alongUnit, 0, 0)
	for top := float64(unit*levels*parts) * max(1, r.down.heaviest) * max(1, r.along.heaviest); top*float64(alongUnit) >= 1<<31; {
		alongUnit /= 2
		r.along = newAxis(along, parts > 1, alongUnit, 0, 0)
	}
	r.alongWeight = make([]uint64, len(r.along.weight))
	for i, w := range r.along.weight {
		r.alongWeight[i] = uint64(int64(w))
	}
	perWord := 4
	if r.eight {
		perWord = 8
	}
	r.allocate((along.in*channels+perWord-1)/perWord, perWord)
	if !r.along.same {
		unit *= int64(alongUnit) * parts
	}
	r.scale = (65535<<32 + unit*levels/2) / (unit * levels)
	return r
}

func (r *resampler) allocate(words, perWord int) {
	r.ring = make([]inputRow, max(1, r.down.taps))
	backing := make([]uint64, words*len(r.ring))
	for i := range r.ring {
		r.ring[i] = backing[i*words : (i+1)*words]
	}
	if r.down.folded {
		r.odd, r.spare = make(inputRow, words), make(inputRow, words)
	}
	for i := range r.sums {
		r.sums[i] = make([]uint64, words)
	}
	r.column = make([]int32, perWord*words)
	r.paired = make([][]uint64, r.channels)
	r.out = [2][][]uint16{make([][]uint16, r.channels), make([][]uint16, r.channels)}
	for c := range r.paired {
		r.paired[c] = make([]uint64, r.along.in)
		r.out[0][c], r.out[1][c] = make([]uint16, r.along.out), make([]uint16, r.along.out)
	}
}

// row takes the next input row, as raster.Sink has it: one or two bytes a
// sample, the low one first.
func (r *resampler) row(row []byte) error {
	dst := r.next()
	n := min(len(row)/8, len(dst))
	for i := range dst[:n] {
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
	dst := r.next()
	n := len(row) / 4
	for i := range n {
		s := row[4*i : 4*i+4 : 4*i+4]
		dst[i] = uint64(s[0]) | uint64(s[1])<<16 | uint64(s[2])<<32 | uint64(s[3])<<48
	}
	if rest := row[4*n:]; len(rest) > 0 {
		dst[n] = 0
		for k, s := range rest {
			dst[n] |= uint64(s) << (16 * k)
		}
	}
	return r.advance()
}

// next is where the next input row goes.
func (r *resampler) next() inputRow {
	if r.down.folded && r.rows%2 == 1 {
		return r.spare
	}
	return r.ring[r.got%len(r.ring)]
}

// advance makes every output row whose input is complete.
func (r *resampler) advance() error {
	if r.rows++; r.down.folded && !r.fold() {
		return nil
	}
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

// fold replaces a row of even number by the mean of itself, twice, and its two
// neighbours, once the second of them is in; see axis.
func (r *resampler) fold() bool {
	own := r.ring[r.got%len(r.ring)]
	before, after := r.odd[:len(own)], r.spare[:len(own)]
	if r.rows%2 == 1 {
		if r.rows < r.height {
			return false
		}
		after = own
	}
	if r.got == 0 {
		before = own
	}
	for i, v := range own {
		own[i] = mean(mean(before[i], after[i]), v)
	}
	r.odd, r.spare = r.spare, r.odd
	return true
}

// mean is the mean of four 16-bit samples each, rounded down.
func mean(a, b uint64) uint64 { return a&b + (a^b)>>1&0x7FFF7FFF7FFF7FFF }

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}
