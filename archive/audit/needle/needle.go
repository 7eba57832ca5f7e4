// Package needle finds secrets in bytes: as they are, in hexadecimal and in
// base64 of either alphabet, at whatever offset the encoding began. In go the
// secrets and any bytes; out come the places. Other encodings are taken off
// before (see unwrap). It imports none of ours.
package needle

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"math/bits"
)

// Shortest is the least length of a secret in bytes: a shorter one would be
// found by chance.
const Shortest = 12

// Set is a number of secrets. After the last Add it may be used by many
// goroutines.
type Set struct {
	byHead map[uint64][]pattern
	filter []uint64
}

// head is how much of a pattern the first look compares.
const head = 8

const filterBits = 22

type pattern struct {
	bytes []byte
	form  string
	id    int
}

// NewSet makes an empty set.
func NewSet() *Set {
	return &Set{byHead: map[uint64][]pattern{}, filter: make([]uint64, 1<<filterBits/64)}
}

// Add puts a secret into the set under an id of the caller's, and says whether it
// is long enough.
func (s *Set) Add(secret []byte, id int) bool {
	if len(secret) < Shortest {
		return false
	}
	s.add(bytes.Clone(secret), "as it is", id)
	lower := []byte(hex.EncodeToString(secret))
	s.add(lower, "in hexadecimal", id)
	s.add(bytes.ToUpper(lower), "in hexadecimal", id)
	for _, alphabet := range []*base64.Encoding{base64.RawStdEncoding, base64.RawURLEncoding} {
		for offset := range 3 {
			s.add(aligned(alphabet, secret, offset), "in base64", id)
		}
	}
	return true
}

// aligned gives those characters of the base64 of a longer text that depend on
// the secret alone, when it begins offset bytes after a group of three.
func aligned(alphabet *base64.Encoding, secret []byte, offset int) []byte {
	coded := alphabet.AppendEncode(nil, append(make([]byte, offset), secret...))
	from := (offset*8 + 5) / 6
	to := (offset + len(secret)) * 8 / 6
	return coded[from:to]
}

func (s *Set) add(b []byte, form string, id int) {
	key := binary.LittleEndian.Uint64(b)
	for _, p := range s.byHead[key] {
		if p.id == id && bytes.Equal(p.bytes, b) {
			return
		}
	}
	s.byHead[key] = append(s.byHead[key], pattern{b, form, id})
	at := slot(key)
	s.filter[at>>6] |= 1 << (at & 63)
}

// slot is a pattern's bit in the filter (multiplicative hashing, Knuth 6.4).
func slot(key uint64) uint64 {
	return bits.RotateLeft64(key*0x9e3779b97f4a7c15, filterBits) & (1<<filterBits - 1)
}

// Find calls report for each secret in data: its id, the form it has, and where
// it begins.
func (s *Set) Find(data []byte, report func(id int, form string, at int)) {
	if len(s.byHead) == 0 {
		return
	}
	for i := 0; i+head <= len(data); i++ {
		key := binary.LittleEndian.Uint64(data[i:])
		if at := slot(key); s.filter[at>>6]&(1<<(at&63)) == 0 {
			continue
		}
		for _, p := range s.byHead[key] {
			if bytes.HasPrefix(data[i:], p.bytes) {
				report(p.id, p.form, i)
			}
		}
	}
}

// Overlap is how many bytes two neighbouring pieces of a stream must share for
// nothing to be missed at the seam.
func (s *Set) Overlap() int {
	longest := 0
	for _, list := range s.byHead {
		for _, p := range list {
			longest = max(longest, len(p.bytes))
		}
	}
	return max(longest-1, 0)
}
