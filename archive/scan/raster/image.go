package raster

import (
	"context"
	"fmt"
	"image"
	"image/color"
	"io"

	"sandarac/archive/scan/fault"
)

// Reader ends with the context: its next Read returns the context's error.
func Reader(ctx context.Context, r io.Reader) io.Reader { return &reader{ctx, r} }

type reader struct {
	ctx context.Context
	r   io.Reader
}

func (r *reader) Read(p []byte) (int, error) {
	if err := r.ctx.Err(); err != nil {
		return 0, err
	}
	return r.r.Read(p)
}

// Image gives a picture that a library decoded whole to sink. Transparent
// pixels are laid over black, as a collodion positive is seen.
func Image(ctx context.Context, img image.Image, sink Sink) error {
	switch m := img.(type) {
	case *image.Gray:
		return rows8(ctx, sink, NewFrame(Grey, m.Rect.Dx(), m.Rect.Dy(), 8), func(y int) [][]uint8 {
			return [][]uint8{m.Pix[y*m.Stride:][:m.Rect.Dx()]}
		})
	case *image.YCbCr:
		return ycbcr(ctx, m, sink)
	case *image.Gray16:
		return grey16(ctx, m, sink)
	case *image.RGBA64, *image.NRGBA64:
		return rgb16(ctx, img, sink)
	}
	return colour8(ctx, img, sink)
}

func rows8(ctx context.Context, sink Sink, f Frame, row func(y int) [][]uint8) error {
	if err := sink.Begin(f); err != nil {
		return err
	}
	for y := range f.Height {
		if err := ctx.Err(); err != nil {
			return err
		}
		for p, r := range row(y) {
			if err := sink.Row8(p, r); err != nil {
				return err
			}
		}
	}
	return nil
}

var spans = map[image.YCbCrSubsampleRatio][2]int{
	image.YCbCrSubsampleRatio444: {1, 1},
	image.YCbCrSubsampleRatio422: {2, 1},
	image.YCbCrSubsampleRatio420: {2, 2},
	image.YCbCrSubsampleRatio440: {1, 2},
	image.YCbCrSubsampleRatio411: {4, 1},
	image.YCbCrSubsampleRatio410: {4, 2},
}

func ycbcr(ctx context.Context, m *image.YCbCr, sink Sink) error {
	span, ok := spans[m.SubsampleRatio]
	if !ok {
		return fault.Damagedf("chroma subsampling %v", m.SubsampleRatio)
	}
	w, h := m.Rect.Dx(), m.Rect.Dy()
	f := NewFrame(YCbCr, w, h, 8)
	for p := 1; p < 3; p++ {
		f.Planes[p] = Plane{Width: (w + span[0] - 1) / span[0], Height: (h + span[1] - 1) / span[1], Samples: 1, SpanX: span[0], SpanY: span[1]}
	}
	return rows8(ctx, sink, f, func(y int) [][]uint8 {
		rows := [][]uint8{m.Y[y*m.YStride:][:w]}
		if y%span[1] == 0 {
			c := y / span[1] * m.CStride
			rows = append(rows, m.Cb[c:][:f.Planes[1].Width], m.Cr[c:][:f.Planes[1].Width])
		}
		return rows
	})
}

func grey16(ctx context.Context, m *image.Gray16, sink Sink) error {
	f := NewFrame(Grey, m.Rect.Dx(), m.Rect.Dy(), 16)
	if err := sink.Begin(f); err != nil {
		return err
	}
	row := make([]byte, 2*f.Width)
	for y := range f.Height {
		if err := ctx.Err(); err != nil {
			return err
		}
		pix := m.Pix[y*m.Stride:][:len(row)]
		for i := 0; i < len(row); i += 2 {
			row[i], row[i+1] = pix[i+1], pix[i]
		}
		if err := sink.Row16(0, row); err != nil {
			return err
		}
	}
	return nil
}

// rgb16 takes RGBA64 (premultiplied) and NRGBA64 pictures.
func rgb16(ctx context.Context, img image.Image, sink Sink) error {
	b := img.Bounds()
	f := NewFrame(RGB, b.Dx(), b.Dy(), 16)
	if err := sink.Begin(f); err != nil {
		return err
	}
	var pix []uint8
	var stride int
	straight := false
	switch m := img.(type) {
	case *image.RGBA64:
		pix, stride = m.Pix, m.Stride
	case *image.NRGBA64:
		pix, stride, straight = m.Pix, m.Stride, true
	}
	row := make([]byte, 6*f.Width)
	for y := range f.Height {
		if err := ctx.Err(); err != nil {
			return err
		}
		line := pix[y*stride:][:8*f.Width]
		for x := range f.Width {
			px, out := line[8*x:8*x+8:8*x+8], row[6*x:6*x+6:6*x+6]
			alpha := uint32(px[6])<<8 | uint32(px[7])
			for c := range 3 {
				v := uint32(px[2*c])<<8 | uint32(px[2*c+1])
				if straight && alpha != 65535 {
					v = v * alpha / 65535
				}
				out[2*c], out[2*c+1] = byte(v), byte(v>>8)
			}
		}
		if err := sink.Row16(0, row); err != nil {
			return err
		}
	}
	return nil
}

// colour8 makes opaque NRGBA of everything else of 8 bits, checking every
// palette index on the way: a library further down must never meet one that
// is out of range.
func colour8(ctx context.Context, img image.Image, sink Sink) error {
	b := img.Bounds()
	out := image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	for y := range b.Dy() {
		if err := ctx.Err(); err != nil {
			return err
		}
		if err := opaqueRow(out.Pix[y*out.Stride:][:4*b.Dx()], img, y); err != nil {
			return err
		}
	}
	if whole, ok := sink.(WholeSink); ok {
		return whole.Whole(out)
	}
	row := make([]byte, 3*b.Dx())
	return rows8(ctx, sink, NewFrame(RGB, b.Dx(), b.Dy(), 8), func(y int) [][]uint8 {
		line := out.Pix[y*out.Stride:]
		for x := range b.Dx() {
			copy(row[3*x:3*x+3], line[4*x:])
		}
		return [][]uint8{row}
	})
}

func opaqueRow(dst []uint8, img image.Image, y int) error {
	switch m := img.(type) {
	case *image.RGBA: // premultiplied, so over black already
		copy(dst, m.Pix[y*m.Stride:])
		for i := 3; i < len(dst); i += 4 {
			dst[i] = 255
		}
	case *image.NRGBA:
		src := m.Pix[y*m.Stride:][:len(dst)]
		for i := 0; i < len(dst); i += 4 {
			a := uint32(src[i+3])
			for c := range 3 {
				dst[i+c] = uint8((uint32(src[i+c])*a + 127) / 255)
			}
			dst[i+3] = 255
		}
	case *image.CMYK:
		src := m.Pix[y*m.Stride:][:len(dst)]
		for i := 0; i < len(dst); i += 4 {
			dst[i], dst[i+1], dst[i+2] = color.CMYKToRGB(src[i], src[i+1], src[i+2], src[i+3])
			dst[i+3] = 255
		}
	case *image.Paletted:
		return paletteRow(dst, m, y)
	default:
		return &fault.Fault{Kind: fault.Unsupported, Found: fmt.Sprintf("pixels of type %T", img), Mend: "save as RGB or grey, 8 or 16 bits"}
	}
	return nil
}

func paletteRow(dst []uint8, m *image.Paletted, y int) error {
	for x, index := range m.Pix[y*m.Stride:][:len(dst)/4] {
		if int(index) >= len(m.Palette) {
			return fault.Damagedf("colour %d of a palette of %d", index, len(m.Palette))
		}
		r, g, b, _ := m.Palette[index].RGBA() // premultiplied, so over black
		dst[4*x], dst[4*x+1], dst[4*x+2], dst[4*x+3] = uint8(r>>8), uint8(g>>8), uint8(b>>8), 255
	}
	return nil
}
