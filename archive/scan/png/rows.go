package png

import (
	"context"
	"encoding/binary"
	"hash"
	"hash/crc32"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/inflate"
	"sandarac/archive/scan/raster"
)

// byRows reports whether the picture can be read row by row: every picture of
// 16 bits, and grey ones of 8, that is not interlaced and has no single
// transparent colour. Those are the large scans. The others are decoded whole by
// the standard library.
func (h *Header) byRows() bool {
	return h.interlace == 0 && !h.keyed && (h.depth == 16 && h.colour != 3 || h.depth == 8 && (h.colour == 0 || h.colour == 4))
}

// rows unpacks, undoes the filters and gives each row to sink.
func (h *Header) rows(ctx context.Context, r io.ReaderAt, size int64, sink raster.Sink) error {
	model, samples := raster.Grey, map[byte]int{0: 1, 2: 3, 4: 2, 6: 4}[h.colour]
	if h.Channels == 3 {
		model = raster.RGB
	}
	if err := sink.Begin(raster.NewFrame(model, h.Width, h.Height, h.Bits)); err != nil {
		return err
	}
	data := &chunks{ctx: ctx, r: io.NewSectionReader(r, h.data, size-h.data), sum: crc32.NewIEEE()}
	var z inflate.Reader
	z.Reset(data)
	pixel := samples * h.Bits / 8
	// One byte of filter before each row.
	line, above := make([]byte, 1+h.Width*pixel), make([]byte, 1+h.Width*pixel)
	out := make([]byte, h.Width*pixel)
	for y := range h.Height {
		if _, err := io.ReadFull(&z, line); err != nil {
			return damaged(y, err)
		}
		if !unfilter(line, above[1:], pixel) {
			return fault.Damagedf("row %d has filter %d", y+1, line[0])
		}
		row := h.finish(out, line[1:])
		var err error
		if h.Bits == 8 {
			err = sink.Row8(0, row)
		} else {
			err = sink.Row16(0, row)
		}
		if err != nil {
			return err
		}
		line, above = above, line
	}
	if n, err := z.Read(line[:1]); n != 0 || err != io.EOF {
		return damaged(h.Height, err)
	}
	return data.end()
}

func damaged(row int, err error) error {
	if err == nil {
		return fault.Damagedf("there is more than %d rows", row)
	}
	f := fault.Damagedf("the picture breaks off or is damaged after row %d", row)
	f.Err = err
	return f
}

// finish brings a row to the order of raster.Sink, transparency laid over
// black, in out.
func (h *Header) finish(out, line []byte) []byte {
	colours, alpha := h.Channels, h.colour >= 4
	if h.Bits == 8 {
		if !alpha {
			return line
		}
		for i := range out[:len(line)/2] {
			out[i] = uint8((uint32(line[2*i])*uint32(line[2*i+1]) + 127) / 255)
		}
		return out[:len(line)/2]
	}
	if !alpha {
		for i := 0; i+1 < len(line); i += 2 {
			out[i], out[i+1] = line[i+1], line[i]
		}
		return out
	}
	to := 0
	for at := 0; at < len(line); at += 2 * (colours + 1) {
		a := uint32(binary.BigEndian.Uint16(line[at+2*colours:]))
		for c := range colours {
			v := uint32(binary.BigEndian.Uint16(line[at+2*c:])) * a / 65535
			out[to], out[to+1] = byte(v), byte(v>>8)
			to += 2
		}
	}
	return out[:to]
}

// unfilter undoes the filter of a row in place, PNG section 9.2; line[0] says
// which. above is the row before, zeros for the first.
func unfilter(line, above []byte, pixel int) bool {
	kind, line := line[0], line[1:]
	above = above[:len(line)]
	switch kind {
	case 0:
	case 1:
		for i := pixel; i < len(line); i++ {
			line[i] += line[i-pixel]
		}
	case 2:
		for i := range line {
			line[i] += above[i]
		}
	case 3:
		for i := range line {
			left := 0
			if i >= pixel {
				left = int(line[i-pixel])
			}
			line[i] += uint8((left + int(above[i])) / 2)
		}
	case 4:
		for i := range min(pixel, len(line)) {
			line[i] += above[i]
		}
		for i := pixel; i < len(line); i++ {
			line[i] += paeth(int(line[i-pixel]), int(above[i]), int(above[i-pixel]))
		}
	default:
		return false
	}
	return true
}

// paeth is the nearest of left, above and upper left to their plane, PNG
// section 9.4.
func paeth(a, b, c int) uint8 {
	pa, pb := b-c, a-c
	pc := pa + pb
	pa, pb, pc = max(pa, -pa), max(pb, -pb), max(pc, -pc)
	switch {
	case pa <= pb && pa <= pc:
		return uint8(a)
	case pb <= pc:
		return uint8(b)
	}
	return uint8(c)
}

// chunks reads the bodies of the IDAT chunks as one stream, and checks their
// sums.
type chunks struct {
	ctx  context.Context
	r    *io.SectionReader
	left uint32
	in   bool // within an IDAT chunk
	next string
	sum  hash.Hash32
}

// Read implements io.Reader.
func (c *chunks) Read(p []byte) (int, error) {
	for c.left == 0 && c.next == "" {
		if err := c.open(); err != nil {
			return 0, err
		}
	}
	if c.next != "" {
		return 0, io.EOF
	}
	if err := c.ctx.Err(); err != nil {
		return 0, err
	}
	n, err := c.r.Read(p[:min(len(p), int(c.left))])
	c.sum.Write(p[:n])
	if c.left -= uint32(n); err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	return n, err
}

// open ends a chunk and begins the next; if that is no IDAT, its name is in
// next.
func (c *chunks) open() error {
	var b [8]byte
	if c.in {
		if _, err := io.ReadFull(c.r, b[:4]); err != nil {
			return io.ErrUnexpectedEOF
		}
		if binary.BigEndian.Uint32(b[:4]) != c.sum.Sum32() {
			return fault.Damagedf("a part of the picture has a wrong checksum")
		}
		c.sum.Reset()
	}
	if _, err := io.ReadFull(c.r, b[:]); err != nil {
		return io.ErrUnexpectedEOF
	}
	c.left, c.in = binary.BigEndian.Uint32(b[:]), true
	if name := string(b[4:]); name != "IDAT" {
		c.next = name
		return nil
	}
	if c.left > 1<<31-1 {
		return fault.Damagedf("a chunk of %d bytes", c.left)
	}
	c.sum.Write(b[4:])
	return nil
}

// end checks that no pixels are left over and that the file ends properly.
func (c *chunks) end() error {
	for c.next == "" {
		if c.left > 0 {
			return fault.Damagedf("there is data after the last row")
		}
		if err := c.open(); err != nil {
			return damaged(0, err)
		}
	}
	for c.next != "IEND" {
		if _, err := c.r.Seek(int64(c.left)+4, io.SeekCurrent); err != nil {
			return damaged(0, err)
		}
		c.in = false
		if err := c.open(); err != nil || c.next == "IDAT" {
			return fault.Damagedf("the file ends without its last chunk")
		}
	}
	if c.left > 0 {
		return fault.Damagedf("the last chunk says it holds %d bytes; it holds none", c.left)
	}
	return nil
}
