package tiff

import (
	"context"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/raster"
)

// Decode gives the pixels to sink, row by row.
func (h *Header) Decode(ctx context.Context, r io.ReaderAt, _ int64, sink raster.Sink) (err error) {
	defer fault.Recover("the TIFF reader", &err)
	model := raster.Grey
	if h.Channels == 3 {
		model = raster.RGB
	}
	if err := sink.Begin(raster.NewFrame(model, h.Width, h.Height, h.Bits)); err != nil {
		return err
	}
	out := newRows(h, sink)
	switch {
	case h.grid.tiled:
		return h.tiles(ctx, r, out)
	case h.compression == plain:
		return h.plainStrips(ctx, r, out)
	}
	return h.strips(ctx, r, out)
}

// rowBytes is the size of an unpacked row of the picture.
func (h *Header) rowBytes() int64 { return int64(h.Width) * h.pixelBytes() }

// readBytes is about how much is read of a plain file at once.
const readBytes = 1 << 20

// plainStrips reads rows as they lie in the file, over the ends of strips that
// follow each other without a gap.
func (h *Header) plainStrips(ctx context.Context, r io.ReaderAt, out *rows) error {
	size := h.rowBytes()
	buf := make([]byte, size*max(1, readBytes/size))
	for i := 0; i < h.grid.down; {
		first, rows := i, int64(h.partRows(i))
		at := int64(h.grid.offsets[i])
		for i++; i < h.grid.down && int64(h.grid.offsets[i]) == at+rows*size; i++ {
			rows += int64(h.partRows(i))
		}
		for rows > 0 {
			if err := ctx.Err(); err != nil {
				return err
			}
			n := min(rows, int64(len(buf))/size)
			if _, err := r.ReadAt(buf[:n*size], at); err != nil {
				return short(first, err)
			}
			for y := range n {
				if err := out.put(buf[y*size : (y+1)*size]); err != nil {
					return err
				}
			}
			rows, at = rows-n, at+n*size
		}
	}
	return nil
}

// strips unpacks one strip after the other.
func (h *Header) strips(ctx context.Context, r io.ReaderAt, out *rows) error {
	row := make([]byte, h.rowBytes())
	var u unpackers
	for i := range h.grid.down {
		in, err := u.open(ctx, h, r, i)
		if err != nil {
			return err
		}
		for range h.partRows(i) {
			if err := ctx.Err(); err != nil {
				return err
			}
			if _, err := io.ReadFull(in, row); err != nil {
				return short(i, err)
			}
			if err := out.put(row); err != nil {
				return err
			}
		}
	}
	return nil
}

// tiles unpacks a row of tiles and then gives its rows.
func (h *Header) tiles(ctx context.Context, r io.ReaderAt, out *rows) error {
	g := &h.grid
	tileRow := int64(g.width) * h.pixelBytes()
	stride := tileRow * int64(g.across)
	band := make([]byte, stride*int64(g.height))
	var u unpackers
	for j := range g.down {
		for i := range g.across {
			part := j*g.across + i
			in, err := u.open(ctx, h, r, part)
			if err != nil {
				return err
			}
			for y := range int64(g.height) {
				line := band[y*stride+int64(i)*tileRow:][:tileRow]
				if _, err := io.ReadFull(in, line); err != nil {
					return short(part, err)
				}
				out.unpack(line)
			}
		}
		for y := range min(g.height, h.Height-j*g.height) {
			if err := ctx.Err(); err != nil {
				return err
			}
			if err := out.give(band[int64(y)*stride:][:h.rowBytes()]); err != nil {
				return err
			}
		}
	}
	return nil
}

// short explains a part that ended early, unless the context did.
func short(part int, err error) error {
	if err == io.EOF || err == io.ErrUnexpectedEOF {
		return fault.Damagedf("strip or tile %d is cut short", part+1)
	}
	f := fault.Damagedf("strip or tile %d cannot be unpacked", part+1)
	f.Err = err
	return f
}
