package inflate

import "hash/adler32"

// checksum continues an Adler-32, RFC 1950 section 8.2.
func checksum(sum uint32, p []byte) uint32 {
	const modulus = 65521
	a, b := sum&0xFFFF, sum>>16
	// The library's sum starts from a = 1, b = 0; what went before adds to it.
	s := adler32.Checksum(p)
	n := uint32(uint64(len(p)) % modulus)
	sa, sb := s&0xFFFF, s>>16
	b = uint32((uint64(b) + uint64(sb) + uint64(n)*uint64(a+modulus-1)) % modulus)
	a = (a + sa + modulus - 1) % modulus
	return b<<16 | a
}
