package tiff

import (
	"bufio"
	"compress/zlib"
	"context"
	"io"

	"golang.org/x/image/tiff/lzw"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/raster"
)

// open gives the unpacked bytes of one strip or tile as a stream.
func (h *Header) open(ctx context.Context, r io.ReaderAt, part int) (io.Reader, error) {
	in := raster.Reader(ctx, io.NewSectionReader(r, int64(h.grid.offsets[part]), int64(h.grid.counts[part])))
	switch h.compression {
	case plain:
		return bufio.NewReaderSize(in, 1<<18), nil
	case lzwCode:
		return bufio.NewReaderSize(lzw.NewReader(bufio.NewReader(in), lzw.MSB, 8), 1<<16), nil
	case packBits:
		return bufio.NewReaderSize(&unpacker{in: bufio.NewReader(in)}, 1<<16), nil
	}
	z, err := zlib.NewReader(bufio.NewReaderSize(in, 1<<16))
	if err != nil {
		return nil, fault.Damagedf("strip or tile %d cannot be unpacked: %v", part+1, err)
	}
	return z, nil
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
