// Package png reads master scans in PNG (W3C PNG third edition): every colour
// type, 1 to 16 bits, with pHYs, iCCP and eXIf chunks. Large ones are read row
// by row. It is the only package of scan that imports image/png.
package png

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"io"

	"sandarac/archive/scan/exif"
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
)

const signature = "\x89PNG\r\n\x1a\n"

// Header is what the chunks before the pixels say.
type Header struct {
	raster.Header
	depth, colour, interlace byte
	keyed                    bool  // has one transparent colour (tRNS)
	data                     int64 // where the first IDAT chunk starts
}

type walker struct {
	r    io.ReaderAt
	size int64
	head Header
}

// ReadHeader walks the chunks up to the first IDAT.
func ReadHeader(r io.ReaderAt, size int64, lim limit.Limits) (*Header, error) {
	var sig [8]byte
	if _, err := r.ReadAt(sig[:], 0); err != nil || string(sig[:]) != signature {
		return nil, fault.Damagedf("the file does not start as a PNG does")
	}
	w := &walker{r: r, size: size}
	at := int64(8)
	for n := range limit.Segments {
		var head [8]byte
		if _, err := r.ReadAt(head[:], at); err != nil {
			return nil, fault.Damagedf("the file ends before the picture starts, at byte %d", at)
		}
		length, name := int64(binary.BigEndian.Uint32(head[:])), string(head[4:])
		if (n == 0) != (name == "IHDR") {
			return nil, fault.Damagedf("chunk %q in place %d", fault.Plain(name), n+1)
		}
		if name == "IDAT" {
			w.head.data = at
			return w.finish(lim)
		}
		if at+12+length > size {
			return nil, fault.Damagedf("chunk %q of %d bytes does not fit the file", fault.Plain(name), length)
		}
		if err := w.chunk(name, at, length); err != nil {
			return nil, err
		}
		at += 12 + length
	}
	return nil, fault.Damagedf("more than %d chunks before the picture", limit.Segments)
}

func (w *walker) chunk(name string, at, length int64) error {
	var read func([]byte) error
	switch name {
	case "IHDR":
		read = w.ihdr
	case "pHYs":
		read = w.phys
	case "iCCP":
		read = w.iccp
	case "eXIf":
		read = w.exif
	case "tRNS":
		w.head.keyed = true
		return nil
	default:
		return nil
	}
	if length > limit.Profile {
		return &fault.Fault{Kind: fault.TooLarge, Found: "chunk " + name + " is over 4 MiB", Mend: "save the scan again without it"}
	}
	data := make([]byte, length+8) // name, body, sum
	if _, err := w.r.ReadAt(data, at+4); err != nil {
		return fault.Damagedf("chunk %s cannot be read", name)
	}
	if crc32.ChecksumIEEE(data[:4+length]) != binary.BigEndian.Uint32(data[4+length:]) {
		return fault.Damagedf("chunk %s has a wrong checksum", name)
	}
	return read(data[4 : 4+length])
}

func (w *walker) ihdr(b []byte) error {
	if len(b) != 13 {
		return fault.Damagedf("an IHDR chunk of %d bytes", len(b))
	}
	h := &w.head
	width, height := binary.BigEndian.Uint32(b), binary.BigEndian.Uint32(b[4:])
	if width > 1<<30 || height > 1<<30 {
		return fault.Damagedf("the header says %d × %d pixels", width, height)
	}
	h.Format, h.Width, h.Height = "PNG", int(width), int(height)
	h.depth, h.colour, h.interlace = b[8], b[9], b[12]
	h.Bits = max(8, int(h.depth))
	h.Channels = map[byte]int{0: 1, 4: 1}[h.colour]
	if h.Channels == 0 {
		h.Channels = 3
	}
	return nil
}

// phys reads pixels per metre.
func (w *walker) phys(b []byte) error {
	if len(b) == 9 && b[8] == 1 {
		x, y := float64(binary.BigEndian.Uint32(b))*0.0254, float64(binary.BigEndian.Uint32(b[4:]))*0.0254
		if x >= 1 && y >= 1 {
			w.head.PPIX, w.head.PPIY = x, y
		}
	}
	return nil
}

// iccp is a name, a zero, the method, and the profile in a zlib stream.
func (w *walker) iccp(b []byte) error {
	at := bytes.IndexByte(b, 0)
	if at < 0 || at+2 > len(b) || b[at+1] != 0 {
		return fault.Damagedf("the iCCP chunk does not hold a profile")
	}
	z, err := zlib.NewReader(bytes.NewReader(b[at+2:]))
	if err != nil {
		return fault.Damagedf("the iCCP chunk cannot be unpacked")
	}
	icc, err := io.ReadAll(io.LimitReader(z, limit.Profile+1))
	if err != nil {
		return fault.Damagedf("the iCCP chunk cannot be unpacked")
	}
	if len(icc) > limit.Profile {
		return &fault.Fault{Kind: fault.TooLarge, Found: "the embedded colour profile unpacks to over 4 MiB", Mend: "embed a matrix profile such as sRGB or Adobe RGB"}
	}
	w.head.ICC = icc
	return nil
}

func (w *walker) exif(b []byte) (err error) {
	w.head.EXIF, err = exif.Read(bytes.NewReader(b), int64(len(b)))
	return err
}

func (w *walker) finish(lim limit.Limits) (*Header, error) {
	h := &w.head
	if err := lim.Size(int64(h.Width), int64(h.Height)); err != nil {
		return nil, err
	}
	samples := map[byte]int64{0: 1, 2: 3, 3: 1, 4: 2, 6: 4}[h.colour]
	if samples == 0 || h.depth == 0 || h.depth > 16 {
		return nil, fault.Damagedf("colour type %d with %d bits", h.colour, h.depth)
	}
	pixels := int64(h.Width) * int64(h.Height)
	// Deflate packs at most 1,032 to 1 (RFC 1951: 258 bytes in 2 bits).
	if least := pixels * samples * int64(h.depth) / 8 / 1032; w.size < least {
		return nil, fault.Damagedf("the file has %d bytes; %d × %d pixels need at least %d", w.size, h.Width, h.Height, least)
	}
	perPixel := map[byte]int64{0: 1, 2: 4, 3: 1, 4: 4, 6: 4}[h.colour] * int64(h.Bits/8)
	h.Weight = perPixel * pixels
	if h.byRows() {
		h.Weight = int64(h.Width)*perPixel*4 + 1<<20
	} else if h.Bits == 8 && h.colour != 0 {
		h.Weight += 4 * pixels
	}
	if h.PPIX == 0 {
		h.PPIX, h.PPIY = h.EXIF.PPIX, h.EXIF.PPIY
	}
	return h, nil
}
