package sample

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"hash/crc32"
	"image"
	"image/png"
	"math/rand/v2"

	"golang.org/x/image/tiff"
)

// Entry is one entry of a TIFF directory; longer values go behind it.
type Entry struct {
	Tag, Type uint16
	Count     uint32
	Value     []byte // up to 4 bytes inline, else its offset is filled in
}

// Short and Long are entries of one number.
func Short(tag uint16, v uint16) Entry {
	return Entry{tag, 3, 1, binary.LittleEndian.AppendUint16(nil, v)}
}

// Long is an entry of one 32-bit number.
func Long(tag uint16, v uint32) Entry {
	return Entry{tag, 4, 1, binary.LittleEndian.AppendUint32(nil, v)}
}

// TIFF is a little-endian file of one directory at byte 8, the long values,
// and body behind them. In an entry of tag 273 or 324 with the value 0 the
// offset of body is filled in.
func TIFF(next uint32, body []byte, entries ...Entry) []byte {
	le := binary.LittleEndian
	out := le.AppendUint32([]byte("II*\x00"), 8)
	out = le.AppendUint16(out, uint16(len(entries)))
	at := uint32(8 + 2 + 12*len(entries) + 4)
	var values []byte
	for _, e := range entries {
		if len(e.Value) > 4 {
			values = append(values, e.Value...)
		}
	}
	bodyAt := at + uint32(len(values))
	values = nil
	for _, e := range entries {
		out = le.AppendUint32(le.AppendUint16(le.AppendUint16(out, e.Tag), e.Type), e.Count)
		switch {
		case len(e.Value) > 4:
			out = le.AppendUint32(out, at+uint32(len(values)))
			values = append(values, e.Value...)
		case (e.Tag == 273 || e.Tag == 324) && e.Count == 1 && bytes.Equal(e.Value, make([]byte, 4)):
			out = le.AppendUint32(out, bodyAt)
		default:
			out = append(append(out, e.Value...), make([]byte, 4-len(e.Value))...)
		}
	}
	return append(append(le.AppendUint32(out, next), values...), body...)
}

// Plain is the entries of an uncompressed grey picture of one strip.
func Plain(width, height uint32, more ...Entry) []Entry {
	return append([]Entry{Long(256, width), Long(257, height), Short(258, 8), Short(259, 1), Short(262, 1), Long(273, 0), Short(277, 1), Long(278, height), Long(279, width*height)}, more...)
}

// Replaced is entries with those of the same tags replaced.
func Replaced(entries []Entry, by ...Entry) []Entry {
	out := append([]Entry(nil), entries...)
	for _, b := range by {
		found := false
		for i := range out {
			if out[i].Tag == b.Tag {
				out[i], found = b, true
			}
		}
		if !found {
			out = append(out, b)
		}
	}
	return out
}

// FourGiB is 90 bytes for which goexif would allocate 4 GiB: a count of
// doubles whose size overflows 32 bits.
func FourGiB() []byte {
	return append(TIFF(0, nil, Entry{0x9999, 12, 0x20000001, []byte{8, 0, 0, 0}}), make([]byte, 64)...)[:90]
}

// Loop is 44 bytes on which goexif would loop for ever: two directories that
// point at each other.
func Loop() []byte {
	le := binary.LittleEndian
	dir := func(next uint32) []byte {
		b := le.AppendUint16(nil, 1)
		b = append(b, 0x12, 1, 3, 0, 1, 0, 0, 0, 1, 0, 0, 0)
		return le.AppendUint32(b, next)
	}
	return append(append(le.AppendUint32([]byte("II*\x00"), 8), dir(26)...), dir(8)...)
}

// Chunk is a PNG chunk with its checksum.
func Chunk(name string, body []byte) []byte {
	b := be32(nil, uint32(len(body)))
	b = append(append(b, name...), body...)
	return be32(b, crc32.ChecksumIEEE(b[4:]))
}

// PNGHeader is a signature and IHDR.
func PNGHeader(width, height uint32, depth, colour byte) []byte {
	return append([]byte("\x89PNG\r\n\x1a\n"), Chunk("IHDR", append(be32(be32(nil, width), height), depth, colour, 0, 0, 0))...)
}

// Zip is a zlib stream.
func Zip(b []byte) []byte {
	var out bytes.Buffer
	z := zlib.NewWriter(&out)
	z.Write(b)
	z.Close()
	return out.Bytes()
}

// SOF is a JPEG frame header segment body.
func SOF(precision byte, width, height uint16, components byte) []byte {
	b := []byte{precision, byte(height >> 8), byte(height), byte(width >> 8), byte(width), components}
	for i := range components {
		b = append(b, i+1, 0x11, 0)
	}
	return b
}

// Sound is small sound files of each kind, made without other programs.
func Sound() map[string][]byte {
	scene, grey := Scene(64, 48), GreyScene(64, 48)
	deep := image.NewGray16(grey.Rect)
	for i, v := range grey.Pix {
		deep.Pix[2*i], deep.Pix[2*i+1] = v, uint8(i)
	}
	files := map[string][]byte{}
	for name, img := range map[string]image.Image{"colour": scene, "grey": grey, "deep": deep} {
		var p, t, d bytes.Buffer
		png.Encode(&p, img)
		tiff.Encode(&t, img, nil)
		tiff.Encode(&d, img, &tiff.Options{Compression: tiff.Deflate, Predictor: true})
		files[name+".png"], files[name+".tif"], files[name+"-z.tif"] = p.Bytes(), t.Bytes(), d.Bytes()
	}
	return files
}

// Mutate damages a file at random: bits, bytes, lengths, missing and doubled
// parts.
func Mutate(r *rand.Rand, data []byte) []byte {
	b := append([]byte(nil), data...)
	for range 1 + r.IntN(4) {
		if len(b) < 16 {
			return b
		}
		at := r.IntN(len(b))
		if r.IntN(2) == 0 {
			at = r.IntN(min(len(b), 512)) // headers are where it hurts
		}
		switch r.IntN(6) {
		case 0:
			b[at] ^= 1 << r.IntN(8)
		case 1:
			b[at] = byte(r.Uint32())
		case 2:
			copy(b[at:], [][]byte{{0, 0, 0, 0}, {255, 255, 255, 255}, {0x7F, 255, 255, 255}, {255, 255, 255, 0x7F}, {0, 0, 0, 1}}[r.IntN(5)])
		case 3:
			b = b[:at]
		case 4:
			b = append(b[:at:at], b[min(len(b), at+r.IntN(64)):]...)
		case 5:
			b = append(b[:at:at], append(append([]byte(nil), b[at:min(len(b), at+r.IntN(64))]...), b[at:]...)...)
		}
	}
	return b
}
