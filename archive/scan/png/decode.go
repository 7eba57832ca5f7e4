package png

import (
	"context"
	"image"
	"image/png"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/raster"
)

// Decode gives the pixels to sink.
func (h *Header) Decode(ctx context.Context, r io.ReaderAt, size int64, sink raster.Sink) error {
	if h.byRows() {
		return h.rows(ctx, r, size, sink)
	}
	img, err := decode(raster.Reader(ctx, io.NewSectionReader(r, 0, size)))
	if err != nil {
		return err
	}
	if img.Bounds() != image.Rect(0, 0, h.Width, h.Height) {
		return fault.Damagedf("the picture is not of the size the header says")
	}
	if h.Channels == 1 {
		img = grey(img)
	}
	return raster.Image(ctx, img, sink)
}

// grey lays a grey picture with transparency, which the library gives as
// colour, over black and keeps it grey.
func grey(img image.Image) image.Image {
	switch m := img.(type) {
	case *image.NRGBA:
		out := image.NewGray(m.Rect)
		for i := range out.Pix { // both have no gaps between rows
			out.Pix[i] = uint8((uint32(m.Pix[4*i])*uint32(m.Pix[4*i+3]) + 127) / 255)
		}
		return out
	case *image.NRGBA64:
		out := image.NewGray16(m.Rect)
		for i := range len(out.Pix) / 2 {
			px := m.Pix[8*i : 8*i+8]
			v := (uint32(px[0])<<8 | uint32(px[1])) * (uint32(px[6])<<8 | uint32(px[7])) / 65535
			out.Pix[2*i], out.Pix[2*i+1] = uint8(v>>8), uint8(v)
		}
		return out
	}
	return img
}

func decode(r io.Reader) (img image.Image, err error) {
	defer fault.Recover("image/png", &err)
	return png.Decode(r)
}
