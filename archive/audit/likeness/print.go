// Package likeness says whether one picture was made from another: enlarged or
// reduced, brightened, toned, cropped by up to a tenth on each side, turned or
// mirrored, compressed again. Two plates of one sitting are not alike in this
// sense: grain, pour and flaws differ.
//
// In go decoded pictures, out come prints (small copies), sketches for a quick
// first look, and a score from −1 to 1. It imports none of ours.
//
// The usual 64-bit perceptual hash was tried first: a crop of a tenth moves it as
// far as another plate is away (30 bits of 64), and it knows neither cut nor
// turn. What is used here is the same low end of a cosine transform with its
// values kept, and behind it a comparison of the pictures themselves.
package likeness

import (
	"image"
	"image/color"
	"math"
)

// side is the width and height of the copy a print is made from, in pixels. The
// picture's own proportions do not matter: both are brought to a square.
const side = 128

// Print is a picture reduced to what is compared.
type Print struct {
	grey [side * side]uint8
	flat bool
}

// flatness is the standard deviation, in grey levels of 256, below which a picture has
// nothing in it to be recognised by: an empty or a fogged plate.
const flatness = 1.5

// New makes the print of a picture. Every pixel counts with its area, so that the
// result depends little on the size the picture came in.
func New(img image.Image) *Print {
	p := &Print{}
	b := img.Bounds()
	if b.Empty() {
		p.flat = true
		return p
	}
	sums := reduce(img, b)
	var sum, squares float64
	for i, s := range sums {
		v := math.Round(min(max(s, 0), 255))
		p.grey[i] = uint8(v)
		sum += v
		squares += v * v
	}
	n := float64(len(sums))
	p.flat = squares/n-(sum/n)*(sum/n) < flatness*flatness
	return p
}

// Flat says that there is nothing in the picture to be recognised by. It is like
// no other.
func (p *Print) Flat() bool { return p.flat }

// reduce averages the luma of img over a grid of side × side cells.
func reduce(img image.Image, b image.Rectangle) []float64 {
	row := make([]float64, b.Dx())
	out := make([]float64, side*side)
	line := make([]float64, side)
	luma := lumaOf(img)
	for y := range b.Dy() {
		luma(row, b.Min.X, b.Min.Y+y)
		shrink(line, row)
		spread(out, line, y, b.Dy())
	}
	return out
}

// shrink averages a row of any length into side cells.
func shrink(cells, row []float64) {
	scale := float64(len(row)) / side
	for i := range cells {
		from, to := float64(i)*scale, float64(i+1)*scale
		var sum float64
		for x := int(from); float64(x) < to && x < len(row); x++ {
			sum += row[x] * (min(to, float64(x+1)) - max(from, float64(x)))
		}
		cells[i] = sum / scale
	}
}

// spread adds row y of height to the rows of cells it lies in.
func spread(out, line []float64, y, height int) {
	scale := side / float64(height)
	from, to := float64(y)*scale, float64(y+1)*scale
	for r := int(from); float64(r) < to && r < side; r++ {
		share := min(to, float64(r+1)) - max(from, float64(r))
		for x, v := range line {
			out[r*side+x] += v * share
		}
	}
}

// lumaOf gives a function that reads one row of luma from 0 to 255.
func lumaOf(img image.Image) func(row []float64, x, y int) {
	switch m := img.(type) {
	case *image.Gray:
		return func(row []float64, x, y int) {
			at := m.PixOffset(x, y)
			for i := range row {
				row[i] = float64(m.Pix[at+i])
			}
		}
	case *image.YCbCr:
		return func(row []float64, x, y int) {
			at := m.YOffset(x, y)
			for i := range row {
				row[i] = float64(m.Y[at+i])
			}
		}
	}
	return func(row []float64, x, y int) {
		for i := range row {
			row[i] = float64(color.Gray16Model.Convert(img.At(x+i, y)).(color.Gray16).Y) / 257
		}
	}
}
