// Package tiff reads master scans in TIFF 6.0: the first page, grey or RGB, 8
// or 16 bits, interleaved, in strips or tiles, uncompressed, LZW, deflate or
// PackBits, with or without the horizontal predictor. Everything else is
// refused with what to change in the scanning program. Pixels are read by
// rows and strips on all cores, so that a strip or a file is never in memory
// whole.
//
// The directory is read here because golang.org/x/image/tiff decodes whole
// files only, does not look at the planar configuration, and says "not enough
// pixel data" of files it does not know.
package tiff

import (
	"fmt"
	"io"

	"sandarac/archive/scan/exif"
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
)

// Tags of TIFF 6.0 part 1, and of the supplements for tiles, deflate and ICC.
const (
	tagSubfile      = 254
	tagWidth        = 256
	tagHeight       = 257
	tagBits         = 258
	tagCompression  = 259
	tagPhotometric  = 262
	tagFillOrder    = 266
	tagStripOffsets = 273
	tagSamples      = 277
	tagRowsPerStrip = 278
	tagStripCounts  = 279
	tagPlanar       = 284
	tagPredictor    = 317
	tagTileWidth    = 322
	tagTileHeight   = 323
	tagTileOffsets  = 324
	tagTileCounts   = 325
	tagExtra        = 338
	tagSampleFormat = 339
	tagICC          = 34675
)

// Values of Compression.
const (
	plain      = 1
	lzwCode    = 5
	deflate    = 8
	packBits   = 32773
	oldDeflate = 32946
)

const mend = "in the scanning program save as TIFF in RGB or grey, 8 or 16 bits, interleaved, without compression or with LZW"

// Header is what the first directory says.
type Header struct {
	raster.Header
	file        int64 // size in bytes
	dir         *directory
	samples     int // per pixel, with extra ones
	compression uint32
	predictor   bool
	inverted    bool // WhiteIsZero
	alpha       alpha
	grid        grid
}

// alpha is the kind of the first extra sample.
type alpha byte

const (
	noAlpha    alpha = iota // none, or not transparency
	associated              // colours are premultiplied: over black already
	straight
)

// grid is how the picture is cut into strips or tiles.
type grid struct {
	tiled           bool
	width, height   int // of a strip or tile; a strip is as wide as the picture
	across, down    int
	offsets, counts []uint32
}

// ReadHeader reads the first directory and checks all that it says.
func ReadHeader(r io.ReaderAt, size int64, lim limit.Limits) (*Header, error) {
	d, err := readDirectory(r, size)
	if err != nil {
		return nil, err
	}
	h := &Header{file: size, dir: d}
	h.Format = "TIFF"
	for _, step := range []func() error{
		func() error { return h.size(lim) },
		h.pixels,
		h.packing,
		h.cut,
		h.plausible,
		h.profile,
	} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	if h.EXIF, err = exif.Read(r, size); err != nil {
		return nil, err
	}
	h.PPIX, h.PPIY = h.EXIF.PPIX, h.EXIF.PPIY
	return h, nil
}

func (h *Header) size(lim limit.Limits) error {
	width, height := h.dir.number(tagWidth, 0), h.dir.number(tagHeight, 0)
	if err := lim.Size(int64(width), int64(height)); err != nil {
		return err
	}
	h.Width, h.Height = int(width), int(height)
	if h.dir.number(tagSubfile, 0)&1 != 0 {
		return unsupported("a TIFF whose first page is a thumbnail")
	}
	return nil
}

// pixels checks depth, channels and meaning.
func (h *Header) pixels() error {
	d := h.dir
	samples := d.number(tagSamples, 1)
	if samples < 1 || samples > 8 {
		return unsupported(fmt.Sprintf("a TIFF of %d channels", samples))
	}
	h.samples = int(samples)
	bits, err := d.numbers(tagBits, []uint32{1})
	if err != nil {
		return err
	}
	for _, b := range bits {
		if b != bits[0] || b != 8 && b != 16 {
			return unsupported(fmt.Sprintf("a TIFF with %v bits", bits))
		}
	}
	h.Bits = int(bits[0])
	formats, err := d.numbers(tagSampleFormat, []uint32{1})
	if err != nil {
		return err
	}
	for _, f := range formats {
		if f != 1 && f != 4 { // 4 is "undefined", read as unsigned
			return unsupported("a TIFF of signed or floating-point numbers")
		}
	}
	switch p := d.number(tagPhotometric, 65535); p {
	case 0, 1:
		h.Channels, h.inverted = 1, p == 0
	case 2:
		h.Channels = 3
	default:
		name := map[uint32]string{3: "palette", 4: "mask", 5: "CMYK", 6: "YCbCr", 8: "Lab", 9: "Lab", 32803: "raw sensor", 34892: "raw sensor"}[p]
		if name == "" {
			name = fmt.Sprintf("colour type %d", p)
		}
		return unsupported("a TIFF in " + name)
	}
	if h.samples < h.Channels {
		return fault.Damagedf("%d channels where %d are needed", h.samples, h.Channels)
	}
	if d.number(tagPlanar, 1) == 2 && h.samples > 1 {
		return unsupported("a TIFF with its colours in separate planes")
	}
	if h.samples > h.Channels {
		extra, err := d.numbers(tagExtra, []uint32{0})
		if err != nil {
			return err
		}
		h.alpha = map[uint32]alpha{1: associated, 2: straight}[extra[0]]
	}
	return nil
}

// packing checks compression, predictor and bit order.
func (h *Header) packing() error {
	h.compression = h.dir.number(tagCompression, 1)
	switch h.compression {
	case plain, lzwCode, deflate, packBits, oldDeflate:
	default:
		name := map[uint32]string{2: "fax", 3: "fax", 4: "fax", 6: "JPEG", 7: "JPEG", 34712: "JPEG 2000", 50000: "Zstandard", 34925: "LZMA"}[h.compression]
		if name == "" {
			name = fmt.Sprintf("number %d", h.compression)
		}
		return unsupported("a TIFF with compression " + name)
	}
	switch p := h.dir.number(tagPredictor, 1); {
	case p == 1 || h.compression == plain || h.compression == packBits:
	case p == 2:
		h.predictor = true
	default:
		return unsupported(fmt.Sprintf("a TIFF with predictor %d", p))
	}
	if h.dir.number(tagFillOrder, 1) != 1 {
		return unsupported("a TIFF with reversed bits (fill order 2)")
	}
	return nil
}

func (h *Header) profile() error {
	n := h.dir.length(tagICC)
	if n > limit.Profile {
		return &fault.Fault{Kind: fault.TooLarge, Found: "the embedded colour profile is over 4 MiB", Mend: "embed a matrix profile such as sRGB or Adobe RGB"}
	}
	if n > 0 {
		icc, err := h.dir.bytes(tagICC)
		if err != nil {
			return err
		}
		h.ICC = icc
	}
	return nil
}

func unsupported(found string) error {
	return &fault.Fault{Kind: fault.Unsupported, Found: found, Accepted: "TIFF in RGB or grey, 8 or 16 bits, interleaved; no compression, LZW, deflate or PackBits", Mend: mend}
}
