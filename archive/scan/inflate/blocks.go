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
		r.literals.build(r.lengths[:288], literalBits, literalMeaning[:])
		for i := range 32 {
			r.lengths[i] = 5
		}
		r.distances.build(r.lengths[:32], distanceBits, distanceMeaning[:])
	case 2:
		if err := r.dynamicHeader(); err != nil {
			return err
		}
	default:
		return ErrCorrupt
	}
	r.literals.pack(literalBits)
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
	if !t.build(lengths[:], lengthBits, plainMeaning[:]) {
		return ErrCorrupt
	}
	for i := 0; i < literals+distances; {
		r.fill()
		e := r.lookUp(t, lengthBits)
		if e < countUnit {
			return r.corrupt()
		}
		value, repeat := uint8(e), 1
		switch value {
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
	if !r.literals.build(r.lengths[:literals], literalBits, literalMeaning[:]) ||
		!r.distances.build(r.lengths[literals:literals+distances], distanceBits, distanceMeaning[:]) {
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

// symbol unpacks up to three literals or one match. over says that the block
// has ended.
func (r *Reader) symbol() (over bool, err error) {
	e := r.lookUp(&r.literals, literalBits)
	if e >= countUnit {
		binary.LittleEndian.PutUint32(r.out[r.to:], e)
		r.to += int(e >> 30)
		return false, nil
	}
	switch e & kindMask {
	case kindEnd:
		r.block = nil
		return true, nil
	case kindNone:
		return false, r.corrupt()
	}
	length := r.value(e)
	e = r.lookUp(&r.distances, distanceBits)
	if e&kindMask != kindMatch {
		return false, r.corrupt()
	}
	distance := r.value(e)
	if distance > r.to {
		return false, r.corrupt()
	}
	repeat(r.out, r.to, distance, length)
	r.to += length
	return false, nil
}

func (r *Reader) lookUp(t *table, primary uint) uint32 {
	e := t.first[r.bits&(1<<primary-1)]
	if e < countUnit && e&kindMask == kindFurther {
		r.take(primary)
		e = t.further[uint64(e&baseMask)+r.bits&(1<<(e>>codeShift&15)-1)]
	}
	if e < countUnit && e&kindMask == kindMatch {
		r.take(uint(e >> codeShift & 15)) // the extra bits are for value
	} else {
		r.take(uint(e >> 24 & dropMask))
	}
	return e
}

// value is the length or distance of an entry, whose extra bits come next.
func (r *Reader) value(e uint32) int {
	return int(e&baseMask + r.take(uint(e>>24&dropMask-e>>codeShift&15)))
}

// repeat copies length bytes from distance before to, which may overlap.
func repeat(out []byte, to, distance, length int) {
	for n := range length {
		out[to+n] = out[to+n-distance]
	}
}
