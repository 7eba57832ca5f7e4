package picture

import (
	"image"

	"sandarac/archive/scan"
	"sandarac/archive/scan/icc"
	"sandarac/archive/scan/raster"
)

// reducer is the raster.Sink that brings a master to its largest wanted size
// and to sRGB as its rows arrive.
type reducer struct {
	width, height             int // target, as stored
	storedWidth, storedHeight int // of the master
	orientation               int
	profile                   *icc.Profile // nil: sRGB already
	grey                      []uint16     // tone table of a grey picture, or nil

	out    *working
	planes []*resampler
	colour *mixer // for RGB, and for YCbCr with a profile
	turned bool   // out is upright already
}

// newReducer prepares for an upright target size.
func newReducer(info scan.Info, width, height int, profile *icc.Profile) *reducer {
	r := &reducer{width: width, height: height, storedWidth: info.Width, storedHeight: info.Height, orientation: info.Orientation, profile: profile}
	if r.orientation >= 5 {
		r.width, r.height = height, width
		r.storedWidth, r.storedHeight = info.Height, info.Width
	}
	if profile != nil && profile.Identity() {
		r.profile = nil
	}
	return r
}

// Begin implements raster.Sink.
func (r *reducer) Begin(f raster.Frame) error {
	r.planes, r.colour = nil, nil
	r.out = newWorking(r.width, r.height, f.Model == raster.Grey)
	mirrorX, mirrorY := mirrored(r.orientation)
	if f.Model == raster.Grey && r.profile != nil {
		r.grey = r.profile.GreyTable()
	}
	mixed := f.Model == raster.RGB || f.Model == raster.YCbCr && r.profile != nil
	if mixed {
		r.colour = newMixer(r.out, f.Model == raster.YCbCr, r.profile, mirrorX, mirrorY)
	}
	for i, p := range f.Planes {
		half := f.Model == raster.YCbCr && i > 0 && !mixed
		along := span(f.Width, p.Width, p.SpanX, r.width, half, mirrorX)
		down := span(f.Height, p.Height, p.SpanY, r.height, half, mirrorY)
		r.planes = append(r.planes, newResampler(f.Depth, p.Samples, along, down, r.emit(i)))
	}
	return nil
}

// span places an output axis of size samples, or half as many if half, on an
// input plane that covers full pixels with in samples of step pixels each. If
// the axis will be mirrored, halved samples are aligned to its far end, so that
// after mirroring they start at the picture's corner.
func span(full, in, step, size int, half, mirror bool) geometry {
	g := geometry{in: in, out: size, scale: float64(full) / float64(step) / float64(size)}
	if half {
		g.out = (size + 1) / 2
		pixel := g.scale
		g.scale *= 2
		if mirror && size%2 == 1 {
			g.offset = -pixel
		}
	}
	return g
}

func (r *reducer) emit(plane int) emitter {
	switch {
	case r.colour != nil:
		return func(channel, _ int, row []uint16) error { r.colour.add(plane+channel, row); return nil }
	case plane > 0:
		return func(_, y int, row []uint16) error { copy(r.out.chroma[plane-1].row(y), row); return nil }
	case r.grey != nil:
		return func(_, y int, row []uint16) error {
			dst := r.out.luma.row(y)
			for x, v := range row {
				dst[x] = r.grey[v]
			}
			return nil
		}
	}
	return func(_, y int, row []uint16) error { copy(r.out.luma.row(y), row); return nil }
}

// Row8 implements raster.Sink.
func (r *reducer) Row8(plane int, row []byte) error { return r.planes[plane].row(row) }

// Row16 implements raster.Sink.
func (r *reducer) Row16(plane int, row []byte) error { return r.planes[plane].row(row) }

// Whole implements raster.WholeSink: an 8-bit colour picture that is in memory
// whole goes through imaging.
func (r *reducer) Whole(img *image.NRGBA) error {
	width, height := r.width, r.height
	if r.orientation >= 5 {
		width, height = height, width
	}
	img, err := reduce8(img, width, height, r.orientation)
	if err != nil {
		return err
	}
	r.out, r.turned = newWorking(width, height, false), true
	mix := newMixer(r.out, false, r.profile, false, false)
	rows := [3][]uint16{make([]uint16, width), make([]uint16, width), make([]uint16, width)}
	for y := range height {
		line := img.Pix[y*img.Stride:][:4*width]
		for x := range width {
			for c := range rows {
				rows[c][x] = uint16(line[4*x+c]) * 257
			}
		}
		for c, row := range rows {
			mix.add(c, row)
		}
	}
	return nil
}

// result is the reduced picture, upright.
func (r *reducer) result() *working {
	out := r.out
	if !r.turned {
		out = out.upright(r.orientation)
	}
	out.dropNeutral()
	return out
}
