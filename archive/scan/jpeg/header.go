// Package jpeg reads master scans in JPEG (ITU-T T.81): baseline and
// progressive Huffman, 8 bits, one, three or four components, with JFIF, Exif,
// ICC and Adobe segments. Lossless, arithmetic and 12-bit files are refused
// with a remedy. It is the only package of scan that imports image/jpeg.
package jpeg

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"

	"sandarac/archive/scan/exif"
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
)

const (
	accepted = "baseline or progressive JPEG, 8 bits, grey, RGB or CMYK"
	mend     = "save as an ordinary JPEG, or as a TIFF in RGB or grey, 8 or 16 bits, interleaved"
)

// Header is what the segments before the first scan say.
type Header struct {
	raster.Header
	Progressive bool
	components  []component
	adobe       int // transform of the Adobe segment, −1 without one
	body        int64
}

type component struct{ id, h, v byte }

// walker reads marker segments and gathers what they say.
type walker struct {
	r       *bufio.Reader
	at      int64 // bytes consumed
	head    Header
	icc     pieces
	density [2]float64 // JFIF, pixels per inch
}

// ReadHeader walks the segments up to the first start of scan.
func ReadHeader(r io.ReaderAt, size int64, lim limit.Limits) (*Header, error) {
	w := &walker{r: bufio.NewReaderSize(io.NewSectionReader(r, 0, size), 4096)}
	w.head.adobe = -1
	if soi, err := w.take(2); err != nil || soi[0] != 0xFF || soi[1] != 0xD8 {
		return nil, fault.Damagedf("the file does not start as a JPEG does")
	}
	for range limit.Segments {
		marker, err := w.marker()
		if err != nil {
			return nil, err
		}
		if marker == 0xDA {
			return w.finish(size, lim)
		}
		if err := w.segment(marker); err != nil {
			return nil, err
		}
	}
	return nil, fault.Damagedf("more than %d segments before the picture", limit.Segments)
}

func (w *walker) take(n int) ([]byte, error) {
	b := make([]byte, n)
	got, err := io.ReadFull(w.r, b)
	w.at += int64(got)
	if err != nil {
		return nil, fault.Damagedf("the file ends before the picture starts, at byte %d", w.at)
	}
	return b, nil
}

func (w *walker) marker() (byte, error) {
	b, err := w.take(2)
	if err != nil {
		return 0, err
	}
	if b[0] != 0xFF {
		return 0, fault.Damagedf("no marker at byte %d", w.at-2)
	}
	for b[1] == 0xFF { // fill bytes
		next, err := w.take(1)
		if err != nil {
			return 0, err
		}
		b[1] = next[0]
	}
	return b[1], nil
}

func (w *walker) segment(marker byte) error {
	if marker == 0x01 || marker >= 0xD0 && marker <= 0xD7 {
		return nil // stand-alone
	}
	if marker == 0xD9 || marker == 0xD8 || marker == 0 {
		return fault.Damagedf("marker 0x%02X before the picture", marker)
	}
	size, err := w.take(2)
	if err != nil {
		return err
	}
	n := int(binary.BigEndian.Uint16(size)) - 2
	if n < 0 {
		return fault.Damagedf("a segment of length %d", n+2)
	}
	body, err := w.take(n)
	if err != nil {
		return err
	}
	switch {
	case marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC:
		return w.frame(marker, body)
	case marker == 0xE0:
		w.jfif(body)
	case marker == 0xE1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) && w.head.EXIF == exif.Tags{}:
		block := body[6:]
		w.head.EXIF, err = exif.Read(bytes.NewReader(block), int64(len(block)))
		return err
	case marker == 0xE2 && bytes.HasPrefix(body, []byte(iccPrefix)):
		return w.icc.add(body[len(iccPrefix):])
	case marker == 0xEE && len(body) >= 12 && bytes.HasPrefix(body, []byte("Adobe")):
		w.head.adobe = int(body[11])
	}
	return nil
}

func (w *walker) frame(marker byte, b []byte) error {
	if marker > 0xC2 {
		kind := "lossless, hierarchical or arithmetic-coded"
		return &fault.Fault{Kind: fault.Unsupported, Found: fmt.Sprintf("a %s JPEG (SOF%d)", kind, marker-0xC0), Accepted: accepted, Mend: mend}
	}
	if w.head.components != nil {
		return fault.Damagedf("two frame headers")
	}
	if len(b) < 6 || len(b) != 6+3*int(b[5]) {
		return fault.Damagedf("a frame header of %d bytes", len(b))
	}
	n := int(b[5])
	if b[0] != 8 || n != 1 && n != 3 && n != 4 {
		return &fault.Fault{Kind: fault.Unsupported, Found: fmt.Sprintf("a JPEG of %d channels with %d bits", n, b[0]), Accepted: accepted, Mend: mend}
	}
	h := &w.head
	h.Format, h.Bits, h.Channels, h.CMYK = "JPEG", 8, n, n == 4
	h.Height, h.Width = int(binary.BigEndian.Uint16(b[1:])), int(binary.BigEndian.Uint16(b[3:]))
	h.Progressive = marker == 0xC2
	for i := range n {
		c := b[6+3*i:]
		h.components = append(h.components, component{id: c[0], h: c[1] >> 4, v: c[1] & 15})
	}
	return nil
}

// jfif reads the density of a JFIF 1.02 APP0 segment.
func (w *walker) jfif(b []byte) {
	if len(b) < 12 || string(b[:5]) != "JFIF\x00" {
		return
	}
	unit := map[byte]float64{1: 1, 2: 2.54}[b[7]]
	w.density = [2]float64{unit * float64(binary.BigEndian.Uint16(b[8:])), unit * float64(binary.BigEndian.Uint16(b[10:]))}
}

func (w *walker) finish(size int64, lim limit.Limits) (*Header, error) {
	h := &w.head
	if h.components == nil {
		return nil, fault.Damagedf("no frame header before the picture")
	}
	if err := lim.Size(int64(h.Width), int64(h.Height)); err != nil {
		return nil, err
	}
	var blocks, samples int64
	maxH, maxV := byte(1), byte(1)
	for _, c := range h.components {
		if c.h < 1 || c.h > 4 || c.v < 1 || c.v > 4 {
			return nil, fault.Damagedf("a sampling factor of %d × %d", c.h, c.v)
		}
		maxH, maxV = max(maxH, c.h), max(maxV, c.v)
	}
	for _, c := range h.components {
		cols := (int64(h.Width)*int64(c.h)/int64(maxH) + 7) / 8
		rows := (int64(h.Height)*int64(c.v)/int64(maxV) + 7) / 8
		blocks += cols * rows
	}
	samples = 64 * blocks
	// The shortest code for a block is a bit for its mean and, in one scan, a
	// bit for "no more"; a file shorter than that lies or is cut short.
	least := blocks / 4
	if h.Progressive {
		least = blocks / 8
	}
	if size < least {
		return nil, fault.Damagedf("the file has %d bytes; %d × %d pixels need at least %d", size, h.Width, h.Height, least)
	}
	h.Weight = samples
	if h.Progressive {
		h.Weight += 4 * samples // coefficients
	}
	if h.CMYK || h.rgb() {
		h.Weight += 4 * int64(h.Width) * int64(h.Height)
	}
	icc, err := w.icc.join()
	if err != nil {
		return nil, err
	}
	h.ICC, h.body = icc, w.at
	h.PPIX, h.PPIY = h.EXIF.PPIX, h.EXIF.PPIY
	if h.PPIX == 0 && w.density[0] > 1 && w.density[1] > 1 {
		h.PPIX, h.PPIY = w.density[0], w.density[1]
	}
	return h, nil
}

// rgb reports whether the three components are R, G, B, by the rules of
// libjpeg that Go follows: the Adobe segment says so, or the ids do.
func (h *Header) rgb() bool {
	if len(h.components) != 3 {
		return false
	}
	if h.adobe >= 0 {
		return h.adobe == 0
	}
	c := h.components
	return c[0].id == 'R' && c[1].id == 'G' && c[2].id == 'B'
}
