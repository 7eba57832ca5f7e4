package emulsion

import (
	"math"

	"sandarac/cmd/paintplates/light"
)

// cubic reads a frame between pixels (Catmull and Rom 1974).
func cubic(f *light.Frame, x, y float64) float64 {
	ix, iy := int(math.Floor(x)), int(math.Floor(y))
	wx, wy := weights(x-float64(ix)), weights(y-float64(iy))
	sum := 0.0
	for j := range 4 {
		row := 0.0
		for i := range 4 {
			row += wx[i] * f.At(ix+i-1, iy+j-1)
		}
		sum += wy[j] * row
	}
	return max(0, sum)
}

func weights(t float64) [4]float64 {
	return [4]float64{
		((-t+2)*t - 1) * t / 2,
		((3*t-5)*t*t + 2) / 2,
		((-3*t+4)*t + 1) * t / 2,
		(t - 1) * t * t / 2,
	}
}

func linear(f *light.Frame, x, y float64) float64 {
	ix, iy := int(math.Floor(x)), int(math.Floor(y))
	tx, ty := x-float64(ix), y-float64(iy)
	top := f.At(ix, iy)*(1-tx) + f.At(ix+1, iy)*tx
	low := f.At(ix, iy+1)*(1-tx) + f.At(ix+1, iy+1)*tx
	return top*(1-ty) + low*ty
}

// blurred is the frame after a box of 2r+1 pixels, twice each way: a portrait lens away from its axis.
func blurred(f *light.Frame, r int) *light.Frame {
	cur := f
	for range 2 {
		a := &light.Frame{W: f.W, H: f.H, Pix: make([]float64, len(f.Pix))}
		b := &light.Frame{W: f.W, H: f.H, Pix: make([]float64, len(f.Pix))}
		k := 1 / float64(2*r+1)
		for y := range f.H {
			for x := range f.W {
				for d := -r; d <= r; d++ {
					a.Pix[y*f.W+x] += k * cur.At(x+d, y)
				}
			}
		}
		for y := range f.H {
			for x := range f.W {
				for d := -r; d <= r; d++ {
					b.Pix[y*f.W+x] += k * a.At(x, y+d)
				}
			}
		}
		cur = b
	}
	return cur
}
