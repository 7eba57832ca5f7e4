package picture

import (
	"image"
	"path/filepath"
	"testing"

	"sandarac/archive/scan/sample"
)

// The fence lets nothing through whose bytes are fewer than its size says.
func TestImagingFence(t *testing.T) {
	short := image.NewNRGBA(image.Rect(0, 0, 40, 30))
	short.Pix = short.Pix[:100]
	shifted := image.NewNRGBA(image.Rect(5, 5, 40, 30))
	for _, img := range []*image.NRGBA{short, shifted, image.NewNRGBA(image.Rectangle{})} {
		if out, err := reduce8(img, 10, 10, 1); err == nil {
			t.Errorf("%v with %d bytes gave %v", img.Rect, len(img.Pix), out.Rect)
		}
	}
}

// The way through imaging (colour PNG of 8 bits) and that by planes (the same
// pixels as TIFF) lead to the same picture.
func TestBothWaysAgree(t *testing.T) {
	in := pngFile(t, sample.Scene(300, 200))
	flat := filepath.Join(t.TempDir(), "flat.tif")
	sample.Tool(t, "convert", in, "-compress", "None", flat)
	for _, width := range []int{0, 200, 120} {
		a := open(t, makeOne(t, in, Output{Width: width, Quality: 100}).Files[0]).(*image.YCbCr)
		b := open(t, makeOne(t, flat, Output{Width: width, Quality: 100}).Files[0]).(*image.YCbCr)
		sum, largest := 0, 0
		for i := range a.Y {
			d := int(a.Y[i]) - int(b.Y[i])
			d = max(d, -d)
			sum, largest = sum+d, max(largest, d)
		}
		if mean := float64(sum) / float64(len(a.Y)); mean > 0.6 || largest > 4 {
			t.Errorf("width %d: luma differs by %.2f on average, %d at most", width, mean, largest)
		}
	}
}

// CMYK without a profile comes out as ImageMagick has it.
func TestPlainCMYK(t *testing.T) {
	master := filepath.Join(t.TempDir(), "m.jpg")
	sample.Tool(t, "convert", pngFile(t, patches(false)), "-colorspace", "CMYK", "-quality", "100", "-sampling-factor", "1x1", master)
	set := makeOne(t, master, Output{Quality: 100})
	if set.Info.Channels != 4 {
		t.Errorf("info %+v", set.Info)
	}
	if mean, largest := difference(t, open(t, set.Files[0]), rawRGB(t, master)); mean > 1 || largest > 8 {
		t.Errorf("differs by %.2f on average, %d at most", mean, largest)
	}
}
