package main

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
)

// fields is how many tones a picture has on each side.
const fields = 8

// scan draws the scan of a quarter plate (82.55 × 107.95 mm) as a grey JPEG of a
// width in pixels: soft fields of tone that differ from plate to plate, and the
// plate's size told by its resolution.
func scan(seed uint64, width int) ([]byte, error) {
	height := width * 10795 / 8255
	r := rand.New(rand.NewPCG(seed, 0x7363616e))
	var tones [fields + 1][fields + 1]float64
	for y := range tones {
		for x := range tones[y] {
			tones[y][x] = 25 + 200*r.Float64()
		}
	}
	img := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		v := float64(y) / float64(height) * fields
		j, fy := int(v), smooth(v-math.Floor(v))
		row := img.Pix[y*img.Stride:]
		for x := range width {
			u := float64(x) / float64(width) * fields
			i, fx := int(u), smooth(u-math.Floor(u))
			top := tones[j][i]*(1-fx) + tones[j][i+1]*fx
			bottom := tones[j+1][i]*(1-fx) + tones[j+1][i+1]*fx
			row[x] = uint8(top*(1-fy) + bottom*fy)
		}
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 88}); err != nil {
		return nil, err
	}
	ppi := int(math.Round(float64(width) / 82.55 * 25.4))
	// A JFIF header (ECMA TR/98) with the resolution in pixels an inch.
	jfif := []byte{0xff, 0xe0, 0, 16, 'J', 'F', 'I', 'F', 0, 1, 2, 1, byte(ppi >> 8), byte(ppi), byte(ppi >> 8), byte(ppi), 0, 0}
	return bytes.Join([][]byte{b.Bytes()[:2], jfif, b.Bytes()[2:]}, nil), nil
}

// smooth goes from 0 to 1 without a kink at either end.
func smooth(x float64) float64 { return x * x * (3 - 2*x) }
