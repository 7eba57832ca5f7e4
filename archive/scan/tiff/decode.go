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
	return h.parallel(ctx, r, newRows(h, sink))
}

// rowBytes is the size of an unpacked row of the picture.
func (h *Header) rowBytes() int64 { return int64(h.Width) * h.pixelBytes() }

// plain gives pieces of a span of plain strips: rows as they lie in the file,
// over the ends of strips that follow each other without a gap.
func (l *lane) plain(ctx context.Context, s span, give giver) error {
	h, size := l.h, l.h.rowBytes()
	for i := s.from; i < s.to; {
		first, rows := i, int64(h.partRows(i))
		at := int64(h.grid.offsets[i])
		for i++; i < s.to && int64(h.grid.offsets[i]) == at+rows*size; i++ {
			rows += int64(h.partRows(i))
		}
		for rows > 0 {
			buf, err := l.buffer(ctx)
			if err != nil {
				return err
			}
			n := min(rows, int64(len(buf))/size)
			if _, err := l.r.ReadAt(buf[:n*size], at); err != nil {
				return short(first, err)
			}
			for y := range n {
				l.out.unpack(buf[y*size : (y+1)*size])
			}
			if err := give(buf, int(n)); err != nil {
				return err
			}
			rows, at = rows-n, at+n*size
		}
	}
	return nil
}

// strips gives pieces of a span of packed strips.
func (l *lane) strips(ctx context.Context, s span, give giver) error {
	size := l.h.rowBytes()
	for i := s.from; i < s.to; i++ {
		in, err := l.unpack.open(ctx, l.h, l.r, i)
		if err != nil {
			return err
		}
		for rows := int64(l.h.partRows(i)); rows > 0; {
			buf, err := l.buffer(ctx)
			if err != nil {
				return err
			}
			n := min(rows, int64(len(buf))/size)
			for y := range n {
				row := buf[y*size : (y+1)*size]
				if _, err := io.ReadFull(in, row); err != nil {
					return short(i, err)
				}
				l.out.unpack(row)
			}
			if rows -= n; rows == 0 {
				if err := l.unpack.end(); err != nil {
					return short(i, err)
				}
			}
			if err := give(buf, int(n)); err != nil {
				return err
			}
		}
	}
	return nil
}

// tiles gives one piece, a row of tiles.
func (l *lane) tiles(ctx context.Context, s span, give giver) error {
	g := &l.h.grid
	tileRow := int64(g.width) * l.h.pixelBytes()
	stride := tileRow * int64(g.across)
	band, err := l.buffer(ctx)
	if err != nil {
		return err
	}
	for i := range g.across {
		part := s.from*g.across + i
		in, err := l.unpack.open(ctx, l.h, l.r, part)
		if err != nil {
			return err
		}
		for y := range int64(g.height) {
			line := band[y*stride+int64(i)*tileRow:][:tileRow]
			if _, err := io.ReadFull(in, line); err != nil {
				return short(part, err)
			}
			l.out.unpack(line)
		}
		if err := l.unpack.end(); err != nil {
			return short(part, err)
		}
	}
	return give(band, min(g.height, l.h.Height-s.from*g.height))
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
