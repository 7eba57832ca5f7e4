package emulsion

import (
	"math"

	"sandarac/cmd/paintplates/noise"
)

// wear is what every plate has a little of: a few pinholes, a comet, dust under the scanner's lid, grain.
func (w *work) wear() {
	for range 4 {
		x0, y0 := w.somewhere()
		r := w.src.Between(0.05, 0.11)
		w.spot(x0, y0, 1, func(i int, dx, dy float64) {
			w.tone[i] *= 1 - 0.8*step(r-math.Hypot(dx, dy), 0.06)
		})
	}
	if w.src.Next() < 0.5 {
		x0, y0 := w.somewhere()
		w.comet(x0, y0, 0.12, w.src.Between(2, 5))
	}
	for range 5 {
		w.fleck(0.22)
	}
	fine, broad := 0.013, 0.018
	if w.Smooth {
		fine, broad = 0.001, 0.006
	}
	s := w.seed(90)
	for y := range w.h {
		for x := range w.w {
			i := y*w.w + x
			t := w.tone[i]
			k := 0.45 + 2.2*t*max(0, 1-t)
			a := noise.Unit(s, int64(x), int64(y), 0) + noise.Unit(s, int64(x), int64(y), 1) - 1
			b := noise.Plane(s+3, float64(x)/2.1, float64(y)/2.1)
			w.tone[i] = t + k*(fine*2*a+broad*b)
		}
	}
}

// palette is the colour of silver from shadow to light, as sRGB display values at even steps of tone.
type palette [5][3]float64

var palettes = map[string]palette{
	"tin":            {{0.055, 0.046, 0.040}, {0.250, 0.222, 0.190}, {0.490, 0.452, 0.402}, {0.735, 0.698, 0.636}, {0.945, 0.918, 0.860}},
	"aluminium":      {{0.046, 0.042, 0.040}, {0.236, 0.222, 0.205}, {0.478, 0.458, 0.430}, {0.730, 0.710, 0.676}, {0.948, 0.934, 0.902}},
	"glass":          {{0.040, 0.041, 0.045}, {0.222, 0.220, 0.218}, {0.468, 0.462, 0.450}, {0.724, 0.716, 0.698}, {0.945, 0.940, 0.924}},
	"glass-negative": {{0.035, 0.035, 0.035}, {0.235, 0.235, 0.235}, {0.475, 0.475, 0.475}, {0.725, 0.725, 0.725}, {0.955, 0.955, 0.955}},
}

var brown = palette{{0.075, 0.052, 0.036}, {0.285, 0.216, 0.150}, {0.515, 0.432, 0.330}, {0.745, 0.672, 0.560}, {0.935, 0.885, 0.795}}

func (p *palette) at(t float64) [3]float64 {
	t = min(1, max(0, t)) * 4
	i := min(int(t), 3)
	f := t - float64(i)
	var c [3]float64
	for k := range c {
		c[k] = p[i][k] + (p[i+1][k]-p[i][k])*f
	}
	return c
}

// support is the tone of the bare plate at a place: japan, black glass or clear glass, with the light of the scanner.
func (w *work) support(x, y float64) float64 {
	t := 0.035 + 0.012*noise.Cloud(w.seed(95), x/14, y/14, 3)
	rim := w.rim(x, y)
	if w.Support == "tin" || w.Support == "aluminium" {
		return t + 0.16*math.Exp(-rim/0.10)*(0.5+0.5*noise.Plane(w.seed(96), x/3, y/3))
	}
	return t + 0.30*math.Exp(-rim/0.16)
}

func (w *work) scan() *Sheet {
	s := &Sheet{W: w.w, H: w.h, Pix: make([][3]float32, w.w*w.h)}
	silver := palettes[w.Support]
	tint := w.seed(97)
	w.each(func(i int, x, y float64) {
		t := w.tone[i]
		b := w.bare[i]
		if b > 0 {
			t = t*(1-b) + b*w.support(x, y)
		}
		if w.Negative {
			t = 0.93 - 0.9*t
		}
		c, d := silver.at(t), brown.at(t)
		k := 0.0
		if w.Support != "glass-negative" {
			k = min(1, max(0, w.stain[i]*(1-b)+0.16*noise.Cloud(tint, x/40, y/40, 2)+0.05))
		}
		for j := range c {
			s.Pix[i][j] = float32(c[j] + (d[j]-c[j])*k)
		}
	})
	return s
}
