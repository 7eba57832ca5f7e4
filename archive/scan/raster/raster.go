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
	// RGB has one plane of three interleaved samples.
	RGB
	// YCbCr has a full luma plane and two chroma planes that may be smaller,
	// full range, ITU-R BT.601 coefficients as JFIF 1.02 gives them.
	YCbCr
)

// Plane is the size of one plane, how many samples lie interleaved at each of
// its places, and how many picture pixels one place spans in each direction. It
// is centred on the pixels it spans.
type Plane struct {
	Width, Height int
	Samples       int
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
	f := Frame{Model: m, Width: width, Height: height, Depth: depth}
	one := Plane{Width: width, Height: height, Samples: 1, SpanX: 1, SpanY: 1}
	switch m {
	case Grey:
		f.Planes = []Plane{one}
	case RGB:
		one.Samples = 3
		f.Planes = []Plane{one}
	case YCbCr:
		f.Planes = []Plane{one, one, one}
	}
	return f
}

// Sink takes the rows of a frame. Rows of one plane come from top to bottom;
// rows of different planes may come in any order between them. A row is valid
// only during the call. Any error ends the decoding and is returned as it is. A
// second Begin means that the decoding starts over.
type Sink interface {
	Begin(Frame) error
	// Row8 takes one byte a sample.
	Row8(plane int, row []byte) error
	// Row16 takes two bytes a sample, the low one first.
	Row16(plane int, row []byte) error
}

// WholeSink is a Sink that would rather have an 8-bit colour picture whole,
// if the decoder holds it so anyway.
type WholeSink interface {
	Sink
	Whole(*image.NRGBA) error
}

// HalvedSink is a Sink part of which would be served as well by planes of half
// the size in both directions, if the decoder can give such for less. Either
// part may be nil. A decoder that cannot uses the HalvedSink itself.
type HalvedSink interface {
	Sink
	Halves() (whole, half Sink)
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
func (d *Discard) Row8(plane int, _ []byte) error {
	d.rows[plane]++
	return nil
}

// Row16 implements Sink.
func (d *Discard) Row16(plane int, _ []byte) error {
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
