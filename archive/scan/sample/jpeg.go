package sample

import (
	"bytes"
	"image"
	"image/color"
	"image/jpeg"
	"math"
	"testing"
)

// Scene is a colour picture with slopes, edges and fine grain, the same each
// time, whose corners all differ.
func Scene(width, height int) *image.NRGBA {
	img := image.NewNRGBA(image.Rect(0, 0, width, height))
	seed := uint32(1)
	for y := range height {
		for x := range width {
			seed = seed*1664525 + 1013904223
			grain := float64(seed>>24)/16 - 8
			fx, fy := float64(x)/float64(width), float64(y)/float64(height)
			base := 60 + 120*fx + 30*math.Sin(9*fy+4*fx)
			r, g, b := base+40*fy, base, base-30*fy
			if (fx-0.3)*(fx-0.3)+(fy-0.6)*(fy-0.6) < 0.02 {
				r, g, b = 30, 50, 160
			}
			img.SetNRGBA(x, y, color.NRGBA{level(r + grain), level(g + grain), level(b + grain), 255})
		}
	}
	return img
}

// GreyScene is the green of Scene.
func GreyScene(width, height int) *image.Gray {
	colour := Scene(width, height)
	img := image.NewGray(colour.Rect)
	for i := range img.Pix {
		img.Pix[i] = colour.Pix[4*i+1]
	}
	return img
}

func level(v float64) uint8 { return uint8(math.Max(0, math.Min(255, v))) }

// JPEG encodes a picture.
func JPEG(t testing.TB, img image.Image, quality int) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: quality}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// Insert puts a marker segment after the start of a JPEG.
func Insert(coded []byte, marker byte, body []byte) []byte {
	n := len(body) + 2
	out := append([]byte{0xFF, 0xD8, 0xFF, marker, byte(n >> 8), byte(n)}, body...)
	return append(out, coded[2:]...)
}

// WithProfile embeds a profile in a JPEG, in pieces of at most size bytes.
func WithProfile(coded, profile []byte, size int) []byte {
	count := (len(profile) + size - 1) / size
	for i := count; i >= 1; i-- {
		piece := profile[(i-1)*size : min(i*size, len(profile))]
		coded = Insert(coded, 0xE2, append(append([]byte("ICC_PROFILE\x00"), byte(i), byte(count)), piece...))
	}
	return coded
}
