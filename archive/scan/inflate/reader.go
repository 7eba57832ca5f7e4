// Package inflate unpacks zlib streams (RFC 1950, RFC 1951), as TIFF and PNG
// hold them. It gives the same bytes and refuses the same streams as
// compress/zlib, which the tests and a fuzz target hold it against. Preset
// dictionaries are refused.
//
// It is our own because unpacking is most of the work of reading a packed scan:
// it takes a third of the standard library's time and half that of
// klauspost/compress. Three things make it fast: tables that give up to three
// literals at a look, one refill of 56 bits for several symbols, and a loop in
// which the compiler can see that no index leaves its array.
package inflate

import (
	"errors"
	"io"
)

// ErrCorrupt says that a stream breaks the format or its checksum.
var ErrCorrupt = errors.New("inflate: the packed data is damaged")

const (
	history = 32 << 10  // how far back a match may reach
	room    = 256 << 10 // of the output buffer
	longest = 258       // a match
	// margin is kept free behind the output: a match, two literals before it,
	// and what copying by words may write beyond it.
	margin  = longest + 24
	inRoom  = 64 << 10
	inSpare = 16 // zeros behind the last input byte, read but never used
)

// Reader unpacks one stream at a time. The zero value is ready for Reset.
type Reader struct {
	src io.Reader
	in  []byte
	at  int // next byte of in to go into bits
	end int // bytes of in that are there
	eof bool
	err error // of src

	bits uint64 // the next bits, lowest first
	have uint   // how many are certain

	out      []byte
	from, to int // unpacked bytes not yet read: out[from:to]
	summed   int // out[:summed] is in sum
	sum      uint32

	block  func(*Reader) error // what goes on with the block at hand, or nil
	stored int                 // bytes left of a stored block
	last   bool
	done   error // what Read says once out is empty

	literals, distances, codes table
	lengths                    [320]uint8
}

// Reset starts a new stream. It reads a little beyond its end.
func (r *Reader) Reset(src io.Reader) {
	if r.in == nil {
		r.in, r.out = make([]byte, inRoom+inSpare), make([]byte, room)
	}
	*r = Reader{src: src, in: r.in, out: r.out, sum: 1, literals: r.literals, distances: r.distances, codes: r.codes}
	if err := r.zlibHeader(); err != nil {
		r.done = err
	}
}

// Read implements io.Reader.
func (r *Reader) Read(p []byte) (int, error) {
	for r.from == r.to {
		if r.done != nil {
			return 0, r.done
		}
		r.done = r.more()
	}
	n := copy(p, r.out[r.from:r.to])
	r.from += n
	return n, nil
}

// more unpacks until the output buffer is full or the stream ends, for which it
// returns io.EOF.
func (r *Reader) more() error {
	if r.to > len(r.out)/2 { // make room, keep the history
		copy(r.out, r.out[r.to-history:r.to])
		r.from, r.to = history, history
	}
	r.summed = r.to
	err := r.blocks()
	r.sum = checksum(r.sum, r.out[r.summed:r.to])
	if err == io.EOF {
		err = r.zlibTrailer()
	}
	return err
}

func (r *Reader) blocks() error {
	for r.to < len(r.out)-margin {
		if r.block == nil {
			if r.last {
				return io.EOF
			}
			if err := r.header(); err != nil {
				return err
			}
		}
		if err := r.block(r); err != nil {
			return err
		}
	}
	return nil
}

// fill makes sure of at least 48 bits, zeros where the input has ended.
func (r *Reader) fill() {
	if r.end-r.at < 8 && !r.eof {
		r.load()
	}
	for r.have < 56 && r.at < len(r.in) {
		r.bits |= uint64(r.in[r.at]) << r.have
		r.at++
		r.have += 8
	}
}

// load moves the input on.
func (r *Reader) load() {
	n := copy(r.in, r.in[r.at:r.end])
	r.at, r.end = 0, n
	for empty := 0; r.end < inRoom && r.end < 4096 && !r.eof; {
		n, err := r.src.Read(r.in[r.end:inRoom])
		r.end += n
		if n > 0 {
			empty = 0
		} else if empty++; empty > 100 && err == nil {
			err = io.ErrNoProgress
		}
		if err != nil {
			r.eof = true
			if err != io.EOF {
				r.err = err
			}
		}
	}
	clear(r.in[r.end : r.end+inSpare])
}

// short reports that more bits were used than there are.
func (r *Reader) short() bool {
	return r.eof && r.at-int(r.have/8) > r.end
}

// truncated is the error of a stream that ends early.
func (r *Reader) truncated() error {
	if r.err != nil {
		return r.err
	}
	return io.ErrUnexpectedEOF
}

// take removes n bits, at most 32, that fill has made sure of.
func (r *Reader) take(n uint) uint32 {
	v := uint32(r.bits & (1<<n - 1))
	r.bits >>= n
	r.have -= n
	return v
}

func (r *Reader) zlibHeader() error {
	r.fill()
	head := r.take(16)
	if r.short() {
		return r.truncated()
	}
	method, flags := head&0xFF, head>>8
	if method&15 != 8 || method>>4 > 7 || (method<<8|flags)%31 != 0 || flags&32 != 0 {
		return ErrCorrupt
	}
	return nil
}

func (r *Reader) zlibTrailer() error {
	r.take(r.have % 8)
	sum := uint32(0)
	for range 4 {
		r.fill()
		sum = sum<<8 | r.take(8)
	}
	if r.short() {
		return r.truncated()
	}
	if sum != r.sum {
		return ErrCorrupt
	}
	return io.EOF
}
