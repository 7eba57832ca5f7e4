package inflate

import "encoding/binary"

// header reads the header of a block, RFC 1951 section 3.2.3.
func (r *Reader) header() error {
	r.fill()
	r.last = r.take(1) == 1
	kind := r.take(2)
	if r.short() {
		return r.truncated()
	}
	switch kind {
	case 0:
		return r.storedHeader()
	case 1:
		for i := range 288 {
			r.lengths[i] = [4]uint8{8, 9, 7, 8}[fixedRange(i)]
		}
		r.literals.build(r.lengths[:288], 9, literalMeaning[:])
		for i := range 32 {
			r.lengths[i] = 5
		}
		r.distances.build(r.lengths[:32], 5, distanceMeaning[:])
	case 2:
		if err := r.dynamicHeader(); err != nil {
			return err
		}
	default:
		return ErrCorrupt
	}
	r.block = (*Reader).coded
	return nil
}

// fixedRange is the range of section 3.2.6 that a symbol falls into.
func fixedRange(symbol int) int {
	switch {
	case symbol < 144:
		return 0
	case symbol < 256:
		return 1
	case symbol < 280:
		return 2
	}
	return 3
}

func (r *Reader) storedHeader() error {
	r.take(r.have % 8)
	r.fill()
	n := r.take(16)
	r.fill()
	complement := r.take(16)
	if r.short() {
		return r.truncated()
	}
	if n^complement != 0xFFFF {
		return ErrCorrupt
	}
	r.stored = int(n)
	r.block = (*Reader).copyStored
	return nil
}

func (r *Reader) copyStored() error {
	for r.stored > 0 && r.to < len(r.out)-margin {
		if r.have > 0 { // whole bytes already in bits
			r.out[r.to] = byte(r.take(8))
			r.to++
			r.stored--
			if r.short() {
				return r.truncated()
			}
			continue
		}
		r.bits = 0
		if r.at >= r.end {
			if r.eof {
				return r.truncated()
			}
			r.load()
			continue
		}
		n := copy(r.out[r.to:len(r.out)-margin], r.in[r.at:min(r.end, r.at+r.stored)])
		r.at, r.to, r.stored = r.at+n, r.to+n, r.stored-n
	}
	if r.stored == 0 {
		r.block = nil
	}
	return nil
}

// order is how the lengths of the code length code come, section 3.2.7.
var order = [19]uint8{16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15}

// dynamicHeader reads the two tables of a block.
func (r *Reader) dynamicHeader() error {
	r.fill()
	literals, distances, codes := int(r.take(5))+257, int(r.take(5))+1, int(r.take(4))+4
	if literals > 286 || distances > 30 {
		return r.corrupt()
	}
	var lengths [19]uint8
	for _, i := range order[:codes] {
		r.fill()
		lengths[i] = uint8(r.take(3))
	}
	if r.short() {
		return r.truncated()
	}
	t := &r.codes
	if !t.build(lengths[:], 7, plainMeaning[:]) {
		return ErrCorrupt
	}
	for i := 0; i < literals+distances; {
		r.fill()
		e := t.entries[r.bits&(1<<t.primary-1)]
		if e&kindMask != kindLiteral {
			return r.corrupt()
		}
		r.take(uint(e & 0xFF))
		value, repeat := uint8(e>>16), 1
		switch e >> 16 {
		case 16:
			if i == 0 {
				return r.corrupt()
			}
			value, repeat = r.lengths[i-1], 3+int(r.take(2))
		case 17:
			value, repeat = 0, 3+int(r.take(3))
		case 18:
			value, repeat = 0, 11+int(r.take(7))
		}
		if r.short() {
			return r.truncated()
		}
		if i+repeat > literals+distances {
			return ErrCorrupt
		}
		for range repeat {
			r.lengths[i] = value
			i++
		}
	}
	if !r.literals.build(r.lengths[:literals], mostPrimary, literalMeaning[:]) || !r.distances.build(r.lengths[literals:literals+distances], 9, distanceMeaning[:]) {
		return ErrCorrupt
	}
	return nil
}

// corrupt is ErrCorrupt, unless the stream ended before.
func (r *Reader) corrupt() error {
	if r.short() {
		return r.truncated()
	}
	return ErrCorrupt
}

// coded unpacks a block of codes, fast while input and output are plenty.
func (r *Reader) coded() error {
	for r.to < len(r.out)-margin {
		if r.end-r.at >= 16 {
			if over, err := r.fast(); over || err != nil {
				return err
			}
			continue
		}
		r.fill()
		to := r.to
		over, err := r.symbol()
		if r.short() { // it was made of bits that are not there
			r.to = to
			return r.truncated()
		}
		if over || err != nil {
			return err
		}
	}
	return nil
}

// symbol unpacks one literal or match. over says that the block has ended.
func (r *Reader) symbol() (over bool, err error) {
	e := r.lookUp(&r.literals)
	switch e & kindMask {
	case kindLiteral:
		r.out[r.to] = byte(e >> 16)
		r.to++
		return false, nil
	case kindEnd:
		r.block = nil
		return true, nil
	case kindNone:
		return false, r.corrupt()
	}
	length := int(e>>16 + r.take(uint(e>>8&31)))
	e = r.lookUp(&r.distances)
	if e&kindMask != kindMatch {
		return false, r.corrupt()
	}
	distance := int(e>>16 + r.take(uint(e>>8&31)))
	if distance > r.to {
		return false, r.corrupt()
	}
	repeat(r.out, r.to, distance, length)
	r.to += length
	return false, nil
}

func (r *Reader) lookUp(t *table) uint32 {
	e := t.entries[r.bits&(1<<t.primary-1)]
	if e&kindMask == kindFurther {
		r.take(t.primary)
		e = t.entries[uint64(e>>16)+r.bits&(1<<(e>>8&31)-1)]
	}
	r.take(uint(e & 0xFF))
	return e
}

// repeat copies length bytes from distance before to, which may overlap. It may
// write up to seven bytes more.
func repeat(out []byte, to, distance, length int) {
	if distance >= 8 {
		for n := 0; n < length; n += 8 {
			binary.LittleEndian.PutUint64(out[to+n:], binary.LittleEndian.Uint64(out[to+n-distance:]))
		}
		return
	}
	if distance == 1 {
		v := uint64(out[to-1]) * 0x0101010101010101
		for n := 0; n < length; n += 8 {
			binary.LittleEndian.PutUint64(out[to+n:], v)
		}
		return
	}
	for n := range length {
		out[to+n] = out[to+n-distance]
	}
}

// fast is symbol over and over, with everything in local variables, while there
// are sixteen bytes of input and room for a match.
func (r *Reader) fast() (over bool, err error) {
	in, out := r.in[:r.end], r.out
	at, to, bits, have := r.at, r.to, r.bits, r.have
	literals, distances := r.literals.entries, r.distances.entries
	literalMask, distanceMask := uint64(1)<<r.literals.primary-1, uint64(1)<<r.distances.primary-1
	last := len(out) - margin
loop:
	for at+16 <= len(in) && to < last {
		bits |= binary.LittleEndian.Uint64(in[at:]) << (have & 63)
		at += int(63-have) >> 3
		have |= 56
		e := literals[bits&literalMask]
		if e&kindMask == kindLiteral {
			bits >>= e & 63
			have -= uint(e & 0xFF)
			out[to] = byte(e >> 16)
			to++
			e = literals[bits&literalMask]
			if e&kindMask == kindLiteral {
				bits >>= e & 63
				have -= uint(e & 0xFF)
				out[to] = byte(e >> 16)
				to++
				e = literals[bits&literalMask]
				if e&kindMask == kindLiteral {
					bits >>= e & 63
					have -= uint(e & 0xFF)
					out[to] = byte(e >> 16)
					to++
					continue
				}
			}
			if have < 48 {
				continue
			}
		}
		if e&kindMask == kindFurther {
			bits >>= e & 63
			have -= uint(e & 0xFF)
			e = literals[uint64(e>>16)+bits&(1<<(e>>8&31)-1)]
		}
		bits >>= e & 63
		have -= uint(e & 0xFF)
		switch e & kindMask {
		case kindLiteral:
			out[to] = byte(e >> 16)
			to++
			continue
		case kindEnd:
			r.block, over = nil, true
			break loop
		case kindNone:
			err = ErrCorrupt
			break loop
		}
		extra := e >> 8 & 31
		length := int(e>>16) + int(bits&(1<<extra-1))
		bits >>= extra
		have -= uint(extra)
		e = distances[bits&distanceMask]
		if e&kindMask == kindFurther {
			bits >>= e & 63
			have -= uint(e & 0xFF)
			e = distances[uint64(e>>16)+bits&(1<<(e>>8&31)-1)]
		}
		bits >>= e & 63
		have -= uint(e & 0xFF)
		if extra = e >> 8 & 31; e&kindMask != kindMatch {
			err = ErrCorrupt
			break
		}
		distance := int(e>>16) + int(bits&(1<<extra-1))
		bits >>= extra
		have -= uint(extra)
		if distance > to {
			err = ErrCorrupt
			break
		}
		repeat(out, to, distance, length)
		to += length
	}
	// Bits beyond the certain ones came from bytes not yet counted.
	r.at, r.to, r.bits, r.have = at, to, bits&(1<<have-1), have
	return over, err
}
