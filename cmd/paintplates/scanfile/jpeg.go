// Package scanfile writes scans as a flatbed's program would: JPEG with density, EXIF and colour profile, and
// 16-bit TIFF with resolution. In: pixels that already are in the profile's values. Out: bytes.
package scanfile

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"image"
	"image/jpeg"
)

// Tags is what a scan says about itself beside its pixels.
type Tags struct {
	PPI         int    // pixels per inch, both ways
	Orientation int    // EXIF orientation 1–8; 0 writes no EXIF block
	Profile     []byte // ICC profile; nil writes none
}

// JPEG encodes img (grey stays grey) with a JFIF density (ITU-T T.871) and, where asked, EXIF and ICC segments.
func JPEG(img image.Image, quality int, t Tags) ([]byte, error) {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		return nil, fmt.Errorf("encoding the JPEG: %w", err)
	}
	plain := b.Bytes()
	out := append([]byte{}, plain[:2]...)
	jfif := []byte{'J', 'F', 'I', 'F', 0, 1, 1, 1, byte(t.PPI >> 8), byte(t.PPI), byte(t.PPI >> 8), byte(t.PPI), 0, 0}
	out = append(out, segment(0xE0, jfif)...)
	if t.Orientation != 0 {
		out = append(out, segment(0xE1, exif(t))...)
	}
	if t.Profile != nil {
		icc := append([]byte("ICC_PROFILE\x00\x01\x01"), t.Profile...)
		out = append(out, segment(0xE2, icc)...)
	}
	return append(out, plain[2:]...), nil
}

func segment(marker byte, body []byte) []byte {
	n := len(body) + 2
	return append([]byte{0xFF, marker, byte(n >> 8), byte(n)}, body...)
}

// exif is the smallest block that carries orientation and resolution: one big-endian IFD.
func exif(t Tags) []byte {
	be := binary.BigEndian
	b := []byte("Exif\x00\x00MM\x00\x2A\x00\x00\x00\x08")
	entry := func(tag, kind uint16, count, value uint32) {
		b = be.AppendUint16(be.AppendUint16(b, tag), kind)
		b = be.AppendUint32(be.AppendUint32(b, count), value)
	}
	const ends = 8 + 2 + 4*12 + 4 // the rationals follow the directory
	b = be.AppendUint16(b, 4)
	entry(0x0112, 3, 1, uint32(t.Orientation)<<16)
	entry(0x011A, 5, 1, ends)
	entry(0x011B, 5, 1, ends+8)
	entry(0x0128, 3, 1, 2<<16)
	b = be.AppendUint32(b, 0)
	for range 2 {
		b = be.AppendUint32(be.AppendUint32(b, uint32(t.PPI)), 1)
	}
	return b
}
