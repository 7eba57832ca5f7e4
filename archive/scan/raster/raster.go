// Package raster is how the pixels of a master travel from a decoder to who
// wants them: one row of one plane at a time, in the depth of the file, so
// that a scan need never be in memory whole.
package raster

import (
	"image"

	"sandarac/archive/scan/exif"
)

// Model is what the planes of a frame are.
type Model uint8

const (
	// Grey has one plane, 0 black.
	Grey Model = iota
	// RGB has three planes of the same size.
	RGB
	// YCbCr has a full luma plane and two chroma planes that may be smaller,
	// full range, ITU-R BT.601 coefficients as JFIF 1.02 gives them.
	YCbCr
)

// Plane is the size of one plane, and how many picture pixels one sample spans
// in each direction. The samples are centred on the pixels they span.
type Plane struct {
	Width, Height int
	SpanX, SpanY  int
}

// Frame describes the pixels that follow. Width and Height are as stored,
// before the orientation is applied.
type Frame struct {
	Model         Model
	Width, Height int
	Depth         int // 8 or 16
	Planes        []Plane
}

// NewFrame is a frame whose planes all have the full size.
func NewFrame(m Model, width, height, depth int) Frame {
	planes := make([]Plane, 3)
	if m == Grey {
		planes = planes[:1]
	}
	for i := range planes {
		planes[i] = Plane{Width: width, Height: height, SpanX: 1, SpanY: 1}
	}
	return Frame{Model: m, Width: width, Height: height, Depth: depth, Planes: planes}
}

// Sink takes the rows of a frame. Rows of one plane come from top to bottom;
// rows of different planes may come in any order between them. A row is valid
// only during the call. Any error ends the decoding and is returned as it is.
type Sink interface {
	Begin(Frame) error
	Row8(plane int, row []uint8) error
	Row16(plane int, row []uint16) error
}

// WholeSink is a Sink that would rather have an 8-bit colour picture whole,
// if the decoder holds it so anyway.
type WholeSink interface {
	Sink
	Whole(*image.NRGBA) error
}

// Header is what a format reads before any pixel.
type Header struct {
	Format        string // "JPEG", "PNG", "TIFF"
	Width, Height int    // as stored
	Channels      int    // colour channels, without alpha
	Bits          int    // per channel
	PPIX, PPIY    float64
	ICC           []byte // embedded profile, nil if none
	CMYK          bool
	EXIF          exif.Tags
	Weight        int64 // bytes of memory a decode may need, rows aside
}

// Discard is a Sink that keeps nothing and counts the rows of each plane.
type Discard struct {
	frame Frame
	rows  [3]int
}

// Begin implements Sink.
func (d *Discard) Begin(f Frame) error {
	*d = Discard{frame: f}
	return nil
}

// Row8 implements Sink.
func (d *Discard) Row8(plane int, _ []uint8) error {
	d.rows[plane]++
	return nil
}

// Row16 implements Sink.
func (d *Discard) Row16(plane int, _ []uint16) error {
	d.rows[plane]++
	return nil
}

// Complete reports whether every row of every plane came.
func (d *Discard) Complete() bool {
	for i, p := range d.frame.Planes {
		if d.rows[i] != p.Height {
			return false
		}
	}
	return len(d.frame.Planes) > 0
}
