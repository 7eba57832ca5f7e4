package light

import "math"

// Calm evens out the scatter that few rays leave: each pixel becomes the mean of its neighbours of nearly the same
// exposure (a bilateral filter, Tomasi and Manduchi 1998, on the logarithm of exposure). Edges stay.
func Calm(f *Frame) *Frame {
	const reach, near, alike = 2, 1.2, 0.20
	logs := make([]float64, len(f.Pix))
	for i, e := range f.Pix {
		logs[i] = math.Log(e + 0.004)
	}
	var window [2*reach + 1][2*reach + 1]float64
	for y := range window {
		for x := range window[y] {
			dx, dy := float64(x-reach), float64(y-reach)
			window[y][x] = math.Exp(-(dx*dx + dy*dy) / (2 * near * near))
		}
	}
	out := &Frame{W: f.W, H: f.H, Pix: make([]float64, len(f.Pix))}
	for y := range f.H {
		for x := range f.W {
			// The pixel itself is as noisy as the rest: compare with the mean of the cross around it.
			i := y*f.W + x
			middle := logs[i]
			if x > 0 && y > 0 && x < f.W-1 && y < f.H-1 {
				middle = (2*middle + logs[i-1] + logs[i+1] + logs[i-f.W] + logs[i+f.W]) / 6
			}
			sum, weight := 0.0, 0.0
			for dy := -reach; dy <= reach; dy++ {
				for dx := -reach; dx <= reach; dx++ {
					px, py := min(max(x+dx, 0), f.W-1), min(max(y+dy, 0), f.H-1)
					d := (logs[py*f.W+px] - middle) / alike
					k := window[dy+reach][dx+reach] / (1 + d*d*d*d/4)
					sum += k * f.Pix[py*f.W+px]
					weight += k
				}
			}
			out.Pix[i] = sum / weight
		}
	}
	return out
}
