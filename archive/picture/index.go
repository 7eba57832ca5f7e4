package picture

import (
	"encoding/binary"
	"errors"
	"hash/crc32"
	"math"
	"time"

	"sandarac/archive/scan"
)

// made is one derivative in the cache.
type made struct {
	key           key
	width, height int
	bytes         int64
	sum           [32]byte
	grey, avif    bool
}

// The bits of what is kept of those two.
const (
	greyBit = 1 << iota
	avifBit
)

// known is what the index remembers of a master: how the file looked when it
// was read, its identity, and what was made of it.
type known struct {
	size  int64
	mtime int64    // ns
	id    [32]byte // see scan.Master.Identity
	info  scan.Info
	tone  float64
	hash  uint64
	files map[key]made
}

// index maps master paths. It is a cache's memory: if it is lost or from
// another version, it is empty, and everything is looked at anew.
type index map[string]*known

// indexMagic names the layout; raise it with every change.
const indexMagic = "sandarac pictures 1\n"

var errIndex = errors.New("picture: the cache's index is not readable")

// encode writes the magic, the entries, and a CRC-32 of both.
func (x index) encode() []byte {
	b := []byte(indexMagic)
	b = binary.AppendUvarint(b, uint64(len(x)))
	for path, k := range x {
		b = appendString(b, path)
		b = binary.AppendVarint(b, k.size)
		b = binary.AppendVarint(b, k.mtime)
		b = append(b, k.id[:]...)
		b = appendInfo(b, k.info)
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(k.tone))
		b = binary.LittleEndian.AppendUint64(b, k.hash)
		b = binary.AppendUvarint(b, uint64(len(k.files)))
		for _, f := range k.files {
			b = append(b, f.key[:]...)
			b = append(b, f.sum[:]...)
			b = binary.AppendVarint(b, int64(f.width))
			b = binary.AppendVarint(b, int64(f.height))
			b = binary.AppendVarint(b, f.bytes)
			b = append(b, map[bool]byte{true: greyBit}[f.grey]|map[bool]byte{true: avifBit}[f.avif])
		}
	}
	return sealIndex(b)
}

func sealIndex(b []byte) []byte {
	return binary.LittleEndian.AppendUint32(b[:len(b):len(b)], crc32.ChecksumIEEE(b))
}

func appendString(b []byte, s string) []byte {
	return append(binary.AppendUvarint(b, uint64(len(s))), s...)
}

func appendInfo(b []byte, i scan.Info) []byte {
	b = appendString(appendString(b, i.Format), i.Profile)
	for _, n := range []int{i.Width, i.Height, i.Orientation, i.Channels, i.Bits} {
		b = binary.AppendVarint(b, int64(n))
	}
	for _, f := range []float64{i.PPIX, i.PPIY} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(f))
	}
	taken := int64(math.MinInt64)
	if !i.Taken.IsZero() {
		taken = i.Taken.Unix()
	}
	return binary.AppendVarint(binary.AppendVarint(b, taken), i.SizeBytes)
}

// decodeIndex reads what encode wrote.
func decodeIndex(b []byte) (x index, err error) {
	if len(b) < len(indexMagic)+4 || string(b[:len(indexMagic)]) != indexMagic {
		return nil, errIndex
	}
	body := b[:len(b)-4]
	if crc32.ChecksumIEEE(body) != binary.LittleEndian.Uint32(b[len(b)-4:]) {
		return nil, errIndex
	}
	r := &reader{b: body[len(indexMagic):]}
	n := r.length()
	x = make(index, n)
	for range n {
		path := r.text()
		k := &known{size: r.number(), mtime: r.number()}
		copy(k.id[:], r.take(32))
		k.info = r.info()
		k.tone, k.hash = r.float(), r.word()
		files := r.length()
		k.files = make(map[key]made, files)
		for range files {
			var f made
			copy(f.key[:], r.take(len(f.key)))
			copy(f.sum[:], r.take(32))
			f.width, f.height, f.bytes = int(r.number()), int(r.number()), r.number()
			flags := r.take(1)[0]
			f.grey, f.avif = flags&greyBit != 0, flags&avifBit != 0
			k.files[f.key] = f
		}
		x[path] = k
	}
	if r.bad || len(r.b) != 0 {
		return nil, errIndex
	}
	return x, nil
}

// reader takes values off a byte slice; after the first that is not there it
// gives zeros and remembers.
type reader struct {
	b   []byte
	bad bool
}

func (r *reader) take(n int) []byte {
	if r.bad || n > len(r.b) {
		r.bad = true
		return make([]byte, min(n, 64))
	}
	out := r.b[:n]
	r.b = r.b[n:]
	return out
}

func (r *reader) number() int64 {
	v, n := binary.Varint(r.b)
	if n <= 0 {
		r.bad = true
		return 0
	}
	r.b = r.b[n:]
	return v
}

// length is a count of things of at least one byte each.
func (r *reader) length() int {
	v, n := binary.Uvarint(r.b)
	if n <= 0 || v > uint64(len(r.b)) {
		r.bad = true
		return 0
	}
	r.b = r.b[n:]
	return int(v)
}

func (r *reader) text() string   { return string(r.take(r.length())) }
func (r *reader) word() uint64   { return binary.LittleEndian.Uint64(r.take(8)) }
func (r *reader) float() float64 { return math.Float64frombits(r.word()) }

func (r *reader) info() (i scan.Info) {
	i.Format, i.Profile = r.text(), r.text()
	for _, n := range []*int{&i.Width, &i.Height, &i.Orientation, &i.Channels, &i.Bits} {
		*n = int(r.number())
	}
	i.PPIX, i.PPIY = r.float(), r.float()
	if taken := r.number(); taken != math.MinInt64 {
		i.Taken = time.Unix(taken, 0).UTC()
	}
	i.SizeBytes = r.number()
	return i
}
