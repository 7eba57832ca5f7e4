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
	if h.grid.tiled {
		return h.tiles(ctx, r, out)
	}
	return h.strips(ctx, r, out)
}

func (h *Header) strips(ctx context.Context, r io.ReaderAt, out *rows) error {
	row := make([]byte, int64(h.Width)*h.pixelBytes())
	for i := range h.grid.down {
		in, err := h.open(ctx, r, i)
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

func (h *Header) tiles(ctx context.Context, r io.ReaderAt, out *rows) error {
	g := &h.grid
	tileRow := int64(g.width) * h.pixelBytes()
	stride := tileRow * int64(g.across)
	band := make([]byte, stride*int64(g.height))
	for j := range g.down {
		for i := range g.across {
			part := j*g.across + i
			in, err := h.open(ctx, r, part)
			if err != nil {
				return err
			}
			for y := range int64(g.height) {
				line := band[y*stride+int64(i)*tileRow:][:tileRow]
				if _, err := io.ReadFull(in, line); err != nil {
					return short(part, err)
				}
				if h.predictor {
					out.unpredict(line)
				}
			}
		}
		for y := range min(g.height, h.Height-j*g.height) {
			if err := ctx.Err(); err != nil {
				return err
			}
			line := band[int64(y)*stride:][:int64(h.Width)*h.pixelBytes()]
			if err := out.give(line); err != nil {
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
