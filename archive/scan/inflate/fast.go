package inflate

import "encoding/binary"

// fast is symbol over and over, with everything in local variables, while there
// are sixteen bytes of input and room for a match. Arrays of known size and
// unsigned indexes spare most checks of bounds.
func (r *Reader) fast() (over bool, err error) {
	in, out := (*[inRoom + inSpare]byte)(r.in), (*[room]byte)(r.out)
	literals, distances := (*[1 << literalBits]uint32)(r.literals.first), (*[1 << distanceBits]uint32)(r.distances.first)
	at, to, bits, have := uint(r.at), uint(r.to), r.bits, r.have
	last := uint(r.end) - 16
	for at <= last && at < inRoom && to < room-margin {
		bits |= binary.LittleEndian.Uint64(in[at:at+8]) << (have & 63)
		at += (63 - have) >> 3 & 7
		have |= 56
		e := literals[bits&(1<<literalBits-1)]
		if e >= countUnit {
			binary.LittleEndian.PutUint32(out[to:to+4], e)
			to += uint(e >> 30)
			e = e >> 24 & dropMask
			bits >>= e
			have -= uint(e)
			e = literals[bits&(1<<literalBits-1)]
			if e >= countUnit {
				binary.LittleEndian.PutUint32(out[to:to+4], e)
				to += uint(e >> 30)
				e = e >> 24 & dropMask
				bits >>= e
				have -= uint(e)
				e = literals[bits&(1<<literalBits-1)]
				if e >= countUnit {
					binary.LittleEndian.PutUint32(out[to:to+4], e)
					to += uint(e >> 30)
					e = e >> 24 & dropMask
					bits >>= e
					have -= uint(e)
					continue
				}
			}
			// A match takes up to 48 bits.
			bits |= binary.LittleEndian.Uint64(in[at:at+8]) << (have & 63)
			at += (63 - have) >> 3 & 7
			have |= 56
		}
		if e&kindMask == kindFurther {
			bits >>= literalBits
			have -= literalBits
			e = r.literals.further[uint64(e&baseMask)+bits&(1<<(e>>codeShift&15)-1)]
		}
		code, drop := bits, e>>24&dropMask
		bits >>= drop
		have -= uint(drop)
		if e&kindMask != kindMatch {
			if e >= countUnit {
				out[to] = byte(e)
				to++
				continue
			}
			if over = e&kindMask == kindEnd; over {
				r.block = nil
			} else {
				err = ErrCorrupt
			}
			break
		}
		length := uint(e&baseMask) + uint(code&(1<<drop-1)>>(e>>codeShift&15))
		e = distances[bits&(1<<distanceBits-1)]
		if e&kindMask == kindFurther {
			bits >>= distanceBits
			have -= distanceBits
			e = r.distances.further[uint64(e&baseMask)+bits&(1<<(e>>codeShift&15)-1)]
		}
		drop = e >> 24 & dropMask
		distance := uint(e&baseMask) + uint(bits&(1<<drop-1)>>(e>>codeShift&15))
		bits >>= drop
		have -= uint(drop)
		if e&kindMask != kindMatch || distance > to {
			err = ErrCorrupt
			break
		}
		from, end := to-distance, to+length
		if distance < 8 {
			repeatClose(out, to, distance, length)
			to = end
			continue
		}
		// Two words without asking: most matches are short.
		binary.LittleEndian.PutUint64(out[to:to+8], binary.LittleEndian.Uint64(out[from:from+8]))
		binary.LittleEndian.PutUint64(out[to+8:to+16], binary.LittleEndian.Uint64(out[from+8:from+16]))
		for to, from = to+16, from+16; to < end; to, from = to+8, from+8 {
			binary.LittleEndian.PutUint64(out[to:to+8], binary.LittleEndian.Uint64(out[from:from+8]))
		}
		to = end
	}
	// Bits beyond the certain ones came from bytes not yet counted.
	r.at, r.to, r.bits, r.have = int(at), int(to), bits&(1<<have-1), have
	return over, err
}

// repeatClose is repeat for short distances, which words would overlap. It may
// write up to seven bytes more.
func repeatClose(out *[room]byte, to, distance, length uint) {
	if distance == 1 {
		v := uint64(out[to-1]) * 0x0101010101010101
		for n := uint(0); n < length; n += 8 {
			binary.LittleEndian.PutUint64(out[to+n:], v)
		}
		return
	}
	for n := range length {
		out[to+n] = out[to+n-distance]
	}
}
