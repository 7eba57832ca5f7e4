package raster

import (
	"context"
	"errors"
	"image"
	"image/color"
	"testing"

	"sandarac/archive/scan/fault"
)

// The picture that ends a process if imaging meets it (CVE-2023-36308): an
// index past the palette. Here it is a fault before any library sees it.
func TestPaletteIndexOutOfRange(t *testing.T) {
	img := image.NewPaletted(image.Rect(0, 0, 4, 4), color.Palette{color.Black, color.White})
	img.Pix[5] = 200
	var f *fault.Fault
	if err := Image(context.Background(), img, &Discard{}); !errors.As(err, &f) || f.Kind != fault.Damaged {
		t.Errorf("got %v", err)
	}
	img.Pix[5] = 1
	var d Discard
	if err := Image(context.Background(), img, &d); err != nil || !d.Complete() {
		t.Errorf("a sound one: %v", err)
	}
}

func TestUnknownPixels(t *testing.T) {
	var f *fault.Fault
	if err := Image(context.Background(), image.NewAlpha(image.Rect(0, 0, 2, 2)), &Discard{}); !errors.As(err, &f) || f.Kind != fault.Unsupported {
		t.Errorf("got %v", err)
	}
}

func TestCancelled(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	for _, img := range []image.Image{
		image.NewGray(image.Rect(0, 0, 2, 2)), image.NewGray16(image.Rect(0, 0, 2, 2)), image.NewRGBA64(image.Rect(0, 0, 2, 2)),
		image.NewNRGBA(image.Rect(0, 0, 2, 2)), image.NewYCbCr(image.Rect(0, 0, 2, 2), image.YCbCrSubsampleRatio420),
	} {
		if err := Image(ctx, img, &Discard{}); !errors.Is(err, context.Canceled) {
			t.Errorf("%T: %v", img, err)
		}
	}
}
