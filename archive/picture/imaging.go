package picture

import (
	"fmt"
	"image"

	"github.com/disintegration/imaging"

	"sandarac/archive/scan/fault"
)

// reduce8 turns and reduces an 8-bit colour picture that is in memory whole
// (colour PNG of 8 bits, RGB and CMYK JPEG) by imaging. There the library is
// right: it works on 8-bit NRGBA, and that is what the picture is.
//
// Its known faults, and why they cannot strike here: a palette index out of
// range panics in a goroutine of its own, beyond any recover (CVE-2023-36308),
// so it gets nothing but *image.NRGBA whose bytes are counted first; it cuts 16
// bits to 8 and makes grey four channels, so neither is given to it; Open and
// Decode know no limits and are not called.
func reduce8(img *image.NRGBA, width, height, orientation int) (out *image.NRGBA, err error) {
	defer fault.Recover("imaging", &err)
	b := img.Rect
	if b.Min != (image.Point{}) || b.Empty() || img.Stride < 4*b.Dx() || len(img.Pix) < img.Stride*(b.Dy()-1)+4*b.Dx() {
		return nil, fmt.Errorf("a picture of %v with %d bytes", b, len(img.Pix))
	}
	w, h := width, height
	if orientation >= 5 {
		w, h = height, width
	}
	if w != b.Dx() || h != b.Dy() {
		img = imaging.Resize(img, w, h, imaging.Lanczos)
	}
	switch orientation {
	case 2:
		img = imaging.FlipH(img)
	case 3:
		img = imaging.Rotate180(img)
	case 4:
		img = imaging.FlipV(img)
	case 5:
		img = imaging.Transpose(img)
	case 6:
		img = imaging.Rotate270(img) // counter-clockwise
	case 7:
		img = imaging.Transverse(img)
	case 8:
		img = imaging.Rotate90(img)
	}
	return img, nil
}
