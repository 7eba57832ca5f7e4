package jpeg

import "encoding/binary"

// bits reads the entropy-coded bits of a scan, stuffed zeros left out.
type bits struct {
	data []byte
	at   int
	next uint64 // the next bits, left-aligned
	have int    // how many of them are real; below 0 once too many were used
	over bool   // a marker or the end was reached
}

// fill tops next up to at least 48 bits. Past the end it adds zeros without
// counting them.
func (b *bits) fill() {
	if b.at+8 <= len(b.data) {
		x := binary.BigEndian.Uint64(b.data[b.at:])
		// No byte is 0xFF exactly if no byte of the complement is 0.
		if y := ^x; (y-0x0101010101010101)&^y&0x8080808080808080 == 0 {
			b.next |= x >> b.have
			n := (63 - b.have) >> 3
			b.at += n
			b.have += 8 * n
			// Bits of a byte only partly counted are put back by the next fill.
			b.next &= ^uint64(0) << (64 - b.have)
			return
		}
	}
	b.fillSlowly()
}

func (b *bits) fillSlowly() {
	for b.have <= 56 && !b.over {
		if b.at >= len(b.data) {
			b.over = true
			return
		}
		v := b.data[b.at]
		if v == 0xFF {
			if b.at+1 >= len(b.data) || b.data[b.at+1] != 0 {
				b.over = true
				return
			}
			b.at++
		}
		b.at++
		b.next |= uint64(v) << (56 - b.have)
		b.have += 8
	}
}

// block decodes the coefficients of one block into natural order, multiplied by
// the quantisation, and returns the zigzag place of the last one that is set.
func (b *bits) block(out *block, p *part) (last int, ok bool) {
	*out = block{}
	if b.have < 32 {
		b.fill()
	}
	size, ok := b.size(p.dc)
	if !ok {
		return 0, false
	}
	p.last += b.receive(size)
	q := p.quant
	v := p.last * q[0]
	out[0] = v
	wild := uint32(v ^ v>>31)
	for zig := 1; zig < 64; zig++ {
		if b.have < 32 {
			b.fill()
		}
		e := p.ac.fast[b.next>>(64-fastBits)]
		var value int32
		if e&(1<<5) != 0 {
			n := int(e & 31)
			b.next <<= n
			b.have -= n
			zig += int(e >> 8 & 15)
			value = e >> 16
		} else {
			symbol, ok := b.symbol(p.ac, e)
			if !ok {
				return 0, false
			}
			if symbol&15 == 0 {
				if symbol != 0xF0 {
					if symbol != 0 {
						return 0, false
					}
					break
				}
				zig += 15
				continue
			}
			zig += int(symbol >> 4)
			value = b.receive(int(symbol & 15))
		}
		if zig > 63 {
			return 0, false
		}
		v := value * q[zig]
		wild |= uint32(v ^ v>>31)
		out[natural[zig]] = v
		last = zig
	}
	return last, b.have >= 0 && wild < wildest
}

func (b *bits) size(t *huffman) (int, bool) {
	e := t.fast[b.next>>(64-fastBits)]
	if n := int(e & 31); n != 0 {
		size := int(e >> 12 & 15)
		if e&(1<<5) != 0 {
			n -= size
		}
		b.next <<= n
		b.have -= n
		return size, true
	}
	s, ok := b.long(t)
	return int(s), ok
}

func (b *bits) symbol(t *huffman, e int32) (byte, bool) {
	if n := int(e & 31); n != 0 {
		b.next <<= n
		b.have -= n
		return byte(e>>8&15)<<4 | byte(e>>12&15), true
	}
	return b.long(t)
}

// long decodes a code of more than fastBits bits.
func (b *bits) long(t *huffman) (byte, bool) {
	code := int32(b.next >> 48)
	length := fastBits + 1
	for length <= 16 && code >= t.limit[length] {
		length++
	}
	if length > 16 {
		return 0, false
	}
	at := code>>(16-length) + t.offset[length]
	if at < 0 || int(at) >= len(t.symbol) {
		return 0, false
	}
	b.next <<= length
	b.have -= length
	return t.symbol[at], true
}

// receive takes size bits as a signed number, T.81 F.2.2.1 (EXTEND).
func (b *bits) receive(size int) int32 {
	if size == 0 {
		return 0
	}
	v := int32(b.next >> (64 - size))
	b.next <<= size
	b.have -= size
	if v < 1<<(size-1) {
		v += 1 - 1<<size
	}
	return v
}

// restart passes the marker that must be next.
func (b *bits) restart(marker byte) bool {
	if b.have < 8 {
		b.fillSlowly()
	}
	if b.have < 0 || b.have >= 8 || b.at+1 >= len(b.data) || b.data[b.at] != 0xFF || b.data[b.at+1] != marker {
		return false
	}
	*b = bits{data: b.data, at: b.at + 2}
	return true
}

// end reports whether the picture ends properly here: the end-of-image marker
// after no more than padding.
func (b *bits) end() bool {
	if b.have < 8 {
		b.fillSlowly()
	}
	at := b.at
	for at+1 < len(b.data) && b.data[at] == 0xFF && b.data[at+1] == 0xFF {
		at++
	}
	return b.have >= 0 && b.have < 8 && at+1 < len(b.data) && b.data[at] == 0xFF && b.data[at+1] == 0xD9
}
