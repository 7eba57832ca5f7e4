package inflate

import "encoding/binary"

// checksum continues an Adler-32, RFC 1950 section 8.2: a is the sum of the
// bytes, b the sum of all that a was, both modulo 65521.
//
// Eight bytes are added at once, in two words of four 16-bit lanes. Within a
// run of 21 words no lane overflows: 255·(1 + 2 + … + 21) < 2^16.
func checksum(sum uint32, p []byte) uint32 {
	const modulus, run = 65521, 21 * 8
	a, b := uint64(sum&0xFFFF), uint64(sum>>16)
	for len(p) >= run {
		// Lanes of bytes 0, 2, 4, 6 and of bytes 1, 3, 5, 7: the sums so far,
		// and the sums of what they were before each word.
		var even, odd, evens, odds uint64
		part := p[:run]
		for len(part) >= 8 {
			v := binary.LittleEndian.Uint64(part)
			evens, odds = evens+even, odds+odd
			even += v & 0x00FF00FF00FF00FF
			odd += v >> 8 & 0x00FF00FF00FF00FF
			part = part[8:]
		}
		b += run*a + 8*(lanes(evens, 1, 1, 1, 1)+lanes(odds, 1, 1, 1, 1)) + lanes(even, 8, 6, 4, 2) + lanes(odd, 7, 5, 3, 1)
		a += lanes(even, 1, 1, 1, 1) + lanes(odd, 1, 1, 1, 1)
		a, b = a%modulus, b%modulus
		p = p[run:]
	}
	for _, v := range p {
		a += uint64(v)
		b += a
	}
	return uint32(b%modulus)<<16 | uint32(a%modulus)
}

// lanes weighs and adds four 16-bit lanes, the lowest first.
func lanes(v, w0, w1, w2, w3 uint64) uint64 {
	return v&0xFFFF*w0 + v>>16&0xFFFF*w1 + v>>32&0xFFFF*w2 + v>>48*w3
}
