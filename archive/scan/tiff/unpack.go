package tiff

import (
	"bufio"
	"context"
	"io"

	"golang.org/x/image/tiff/lzw"

	"sandarac/archive/scan/inflate"
	"sandarac/archive/scan/raster"
)

// unpackers keeps what can be used again from one strip or tile to the next.
type unpackers struct {
	raw  *bufio.Reader
	out  *bufio.Reader
	zlib inflate.Reader
	last io.Reader
}

// end reads to the end of a deflate stream, where its checksum stands. More
// rows than there should be are none of our business.
func (u *unpackers) end() error {
	if u.last != &u.zlib {
		return nil
	}
	var more [1]byte
	if _, err := u.zlib.Read(more[:]); err != nil && err != io.EOF {
		return err
	}
	return nil
}

// open gives the unpacked bytes of one strip or tile as a stream, valid until
// the next call.
func (u *unpackers) open(ctx context.Context, h *Header, r io.ReaderAt, part int) (_ io.Reader, err error) {
	u.last, err = u.stream(ctx, h, r, part)
	return u.last, err
}

func (u *unpackers) stream(ctx context.Context, h *Header, r io.ReaderAt, part int) (io.Reader, error) {
	in := raster.Reader(ctx, io.NewSectionReader(r, int64(h.grid.offsets[part]), int64(h.grid.counts[part])))
	if u.raw == nil {
		u.raw, u.out = bufio.NewReaderSize(in, 1<<16), bufio.NewReaderSize(in, 1<<16)
	}
	u.raw.Reset(in)
	switch h.compression {
	case plain:
		return u.raw, nil
	case lzwCode:
		u.out.Reset(lzw.NewReader(u.raw, lzw.MSB, 8))
		return u.out, nil
	case packBits:
		u.out.Reset(&unpacker{in: u.raw})
		return u.out, nil
	}
	u.zlib.Reset(in)
	return &u.zlib, nil
}

// unpacker undoes PackBits, TIFF 6.0 section 9.
type unpacker struct {
	in     *bufio.Reader
	run    int  // bytes still to give
	repeat bool // of one value, else literally
	value  byte
}

// Read implements io.Reader.
func (u *unpacker) Read(p []byte) (int, error) {
	n := 0
	for n < len(p) {
		if u.run == 0 {
			if err := u.code(); err != nil {
				if n > 0 {
					return n, nil
				}
				return 0, err
			}
			continue
		}
		b := u.value
		if !u.repeat {
			var err error
			if b, err = u.in.ReadByte(); err != nil {
				return n, io.ErrUnexpectedEOF
			}
		}
		p[n] = b
		n++
		u.run--
	}
	return n, nil
}

func (u *unpacker) code() error {
	c, err := u.in.ReadByte()
	if err != nil {
		return err
	}
	switch k := int(int8(c)); {
	case k >= 0:
		u.run, u.repeat = k+1, false
	case k > -128:
		if u.value, err = u.in.ReadByte(); err != nil {
			return io.ErrUnexpectedEOF
		}
		u.run, u.repeat = 1-k, true
	}
	return nil
}
