// Package emulsion turns exposure into a wet plate: the positive's tone curve, the pour with its ridges and thick
// edge, the corner it was held by, wire marks, tide lines, grain, and the flaws a record lists. In: a Frame of
// exposure and what the record says of the plate. Out: a Sheet of display values (sRGB coding, 0–1).
package emulsion

import (
	"math"

	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
)

// Plate is what the pour needs to know of a record.
type Plate struct {
	WidthMM, HeightMM float64
	PPI               int
	Support           string // tin, aluminium, glass, glass-negative
	Judged            string // under, right, over
	Flaws             []string
	Negative          bool // scanned as the negative it is
	Smooth            bool // little grain: a deep scan that must pack small
	Seed              uint64
}

// Sheet is a scanned plate: W × H pixels of red, green, blue.
type Sheet struct {
	W, H int
	Pix  [][3]float32
}

// work is a plate in the making: tone is the silver's brightness, stain how brown, bare how much of the support shows.
type work struct {
	Plate
	w, h              int
	px                float64 // pixels per millimetre
	tone, stain, bare []float64
	pour              float64 // direction of the last flow, radians
	corner            int     // where it was held: 0 top left, clockwise
	src               *noise.Source
	flaw              map[string]bool
}

// Make develops, fixes and scans the plate.
func Make(f *light.Frame, p Plate) *Sheet {
	px := float64(p.PPI) / 25.4
	w := &work{Plate: p, w: int(math.Round(p.WidthMM * px)), h: int(math.Round(p.HeightMM * px)), px: px, src: noise.NewSource(p.Seed), flaw: map[string]bool{}}
	for _, f := range p.Flaws {
		w.flaw[f] = true
	}
	n := w.w * w.h
	w.tone, w.stain, w.bare = make([]float64, n), make([]float64, n), make([]float64, n)
	w.corner = int(4 * w.src.Next())
	w.pour = math.Pi/4 + float64(w.corner)*math.Pi/2 + w.src.Between(-0.3, 0.3)
	w.expose(f)
	w.coat()
	w.edges()
	for _, d := range drawers {
		if w.flaw[d.slug] {
			d.draw(w)
		}
	}
	w.wear()
	return w.scan()
}

// each calls f for every pixel with its place in millimetres from the top left.
func (w *work) each(f func(i int, x, y float64)) {
	for y := range w.h {
		for x := range w.w {
			f(y*w.w+x, (float64(x)+0.5)/w.px, (float64(y)+0.5)/w.px)
		}
	}
}

// rim is the distance to the nearest edge of the plate.
func (w *work) rim(x, y float64) float64 {
	return min(min(x, w.WidthMM-x), min(y, w.HeightMM-y))
}

// cornerAt is the position of corner k, clockwise from the top left.
func (w *work) cornerAt(k int) (x, y float64) {
	k &= 3
	if k == 1 || k == 2 {
		x = w.WidthMM
	}
	if k >= 2 {
		y = w.HeightMM
	}
	return x, y
}

// expose enlarges the frame to the scan and applies the curve of a collodion positive.
func (w *work) expose(f *light.Frame) {
	gain := map[string]float64{"under": 0.62, "over": 1.5}[w.Judged]
	if gain == 0 {
		gain = 1
	}
	top, g := 0.90, 1.36
	if w.flaw["thin"] {
		gain *= 0.72
		top = 0.74
	}
	if w.flaw["flat"] {
		g, top = 1.12, 0.84
	}
	soft := blurred(f, 2)
	sx, sy := float64(f.W)/float64(w.w), float64(f.H)/float64(w.h)
	short := min(w.WidthMM, w.HeightMM)
	drift := w.seed(1)
	w.each(func(i int, x, y float64) {
		fx, fy := x*w.px*sx-0.5, y*w.px*sy-0.5
		rx, ry := (x-w.WidthMM/2)/short, (y-w.HeightMM/2)/short
		r2 := rx*rx + ry*ry
		e := cubic(f, fx, fy)
		k := min(1, max(0, (r2-0.08)*1.5))
		e = e*(1-k) + linear(soft, fx, fy)*k
		if w.flaw["movement"] {
			e = 0.62*e + 0.38*linear(f, fx-0.011*float64(f.W), fy+0.004*float64(f.H))
		}
		e *= gain * (1 - 0.42*min(1, r2*1.1))
		e *= 1 + 0.07*noise.Cloud(drift, x/22, y/22, 3)
		e = max(e, 1e-5)
		s := 1 / (1 + math.Pow(0.165/e, g))
		w.tone[i] = top * s
	})
}

func (w *work) seed(k uint64) uint64 { return w.Seed*1000003 + k*7877 }

// along gives distances along and across the flow.
func (w *work) along(x, y float64) (a, c float64) {
	dx, dy := x-w.WidthMM/2, y-w.HeightMM/2
	s, q := math.Sin(w.pour), math.Cos(w.pour)
	return dx*q + dy*s, -dx*s + dy*q
}

// coat is the unevenness every pour has: faint furrows towards the drain corner, a fog of its own, cloudy corners.
func (w *work) coat() {
	depth := 0.012
	if w.flaw["ridges"] {
		depth = 0.055
	}
	s1, s2 := w.seed(2), w.seed(3)
	size := max(w.WidthMM, w.HeightMM)
	w.each(func(i int, x, y float64) {
		a, c := w.along(x, y)
		fur := noise.Cloud(s1, c/3.2+0.6*noise.Plane(s2, a/18, c/9), a/70, 3)
		late := max(0, a/size+0.1) // thicker towards the drain
		w.tone[i] *= 1 + depth*fur*(0.4+2.2*late)
		w.tone[i] += 0.018 + 0.012*noise.Cloud(s2, x/30, y/30, 3)
	})
}

// edges leaves the margin: bare support, the bead of thick collodion, tide lines, corner wires, the held corner.
func (w *work) edges() {
	s := w.seed(4)
	scale := math.Sqrt(min(w.WidthMM, w.HeightMM) / 80)
	hx, hy := w.cornerAt(w.corner)
	held := (3.5 + 3*w.src.Next()) * scale
	if w.flaw["cut-off"] {
		held = (11 + 5*w.src.Next()) * scale
	}
	wire := (2.2 + w.src.Next()) * scale
	type tide struct{ level, width, gain float64 }
	var tides []tide
	for range 3 {
		tides = append(tides, tide{w.src.Between(1.2, 6) * scale, w.src.Between(0.12, 0.4), w.src.Between(-0.05, 0.075)})
	}
	margin := w.src.Between(0.35, 1.0) * scale
	w.each(func(i int, x, y float64) {
		rim := w.rim(x, y)
		if rim > 12*scale && math.Hypot(x-hx, y-hy) > 3*held {
			return
		}
		wob := noise.Cloud(s, x/9, y/9, 4)
		fine := noise.Cloud(s+5, x/1.1, y/1.1, 2)
		edge := rim - margin*(1+0.9*wob) - 0.12*fine
		for _, t := range tides {
			d := (rim + 2.2*wob*scale + 0.5*noise.Cloud(s+9, x/5, y/5, 2)) - t.level
			side := math.Exp(-d * d / (t.width * t.width))
			if d < 0 {
				side = max(side, 0.3*math.Exp(d/1.5))
			}
			patch := max(0, noise.Cloud(s+11, x/26, y/26, 2)+0.15)
			w.tone[i] += t.gain * side * patch * 1.6
			w.stain[i] += 0.5 * side * patch
		}
		bead := math.Exp(-edge*edge/0.06) * (0.5 + 0.5*noise.Plane(s+13, x/6, y/6))
		w.tone[i] += 0.10 * bead
		hold := math.Hypot(x-hx, y-hy) - held*(1+0.25*noise.Cloud(s+17, x/4, y/4, 3))
		w.tone[i] += 0.07 * math.Exp(-hold*hold/0.12)
		bare := max(step(-edge, 0.10), step(-hold, 0.14))
		w.bare[i] = max(w.bare[i], bare)
		for k := range 4 {
			cx, cy := w.cornerAt(k)
			d := math.Abs(x-cx) + math.Abs(y-cy) - 1.9*wire
			w.tone[i] *= 1 - 0.9*step(-d-0.4*wob, 0.5)
		}
	})
}

// step rises from 0 to 1 as d passes from −width to width.
func step(d, width float64) float64 {
	t := min(1, max(0, (d+width)/(2*width)))
	return t * t * (3 - 2*t)
}
