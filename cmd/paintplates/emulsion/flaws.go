package emulsion

import (
	"math"

	"sandarac/cmd/paintplates/noise"
)

// drawers in the order in which they happen to a plate. Flaws of the exposure (thin, flat, movement), of the pour
// (ridges) and of the hold (cut-off) are drawn where those are.
var drawers = []struct {
	slug string
	draw func(*work)
}{
	{"light-leak", (*work).lightLeak}, {"fog", (*work).fog}, {"curtains", (*work).curtains}, {"streaks", (*work).streaks},
	{"developer-marks", (*work).developerMarks}, {"oysters", (*work).oysters}, {"comets", (*work).comets},
	{"pinholes", (*work).pinholes}, {"black-spots", (*work).blackSpots}, {"stains", (*work).stains},
	{"scratch", (*work).scratches}, {"dust", (*work).dust},
}

func (w *work) fog() {
	s := w.seed(20)
	w.each(func(i int, x, y float64) {
		k := 0.20 + 0.12*noise.Cloud(s, x/28, y/28, 4) + 0.05*math.Exp(-w.rim(x, y)/7)
		w.tone[i] = w.tone[i]*(1-k*0.75) + k*0.55
		w.stain[i] += 0.12
	})
}

func (w *work) lightLeak() {
	s := w.seed(21)
	at := w.src.Between(0.2, 0.8) * w.HeightMM
	right := w.src.Next() < 0.5
	reach := w.WidthMM * w.src.Between(0.35, 0.6)
	w.each(func(i int, x, y float64) {
		if right {
			x = w.WidthMM - x
		}
		spread := 1.2 + x*0.16
		d := (y - at - 0.12*x) / spread
		k := math.Exp(-d*d) * max(0, 1-x/reach)
		w.tone[i] += 0.42 * k * (1 + 0.2*noise.Plane(s, x/8, y/8))
	})
}

func (w *work) curtains() {
	s := w.seed(22)
	low := w.HeightMM
	w.each(func(i int, x, y float64) {
		up := low - y
		height := 9 + 6*noise.Plane(s, x/9, 0.5)
		fold := math.Abs(noise.Plane(s+1, x/3.4+0.03*up, 0.2))
		k := step(height-up, 3.5)
		line := math.Exp(-math.Pow((up-height)/0.5, 2))
		w.tone[i] *= 1 - k*(0.16+0.25*fold)
		w.tone[i] += 0.05*line + 0.035*k
	})
}

func (w *work) streaks() {
	s := w.seed(23)
	at := w.src.Between(0.25, 0.75) * w.HeightMM
	lean := w.src.Between(-0.05, 0.05)
	w.each(func(i int, x, y float64) {
		d := y - at - lean*x - 0.7*noise.Plane(s, x/25, 1)
		w.tone[i] += 0.10*math.Exp(-d*d/0.25) + 0.035*step(d, 0.3)*math.Exp(-max(d, 0)/9)
		for k := range 3 {
			g := x - w.WidthMM*(0.2+0.27*float64(k)) - 2*noise.Plane(s+uint64(k)+1, y/40, 2)
			w.tone[i] += 0.03 * math.Exp(-g*g/1.3) * step(d, 2)
		}
	})
}

func (w *work) developerMarks() {
	s := w.seed(24)
	x0, y0 := w.src.Between(0.25, 0.75)*w.WidthMM, w.src.Between(0.02, 0.12)*w.HeightMM
	size := min(w.WidthMM, w.HeightMM)
	w.each(func(i int, x, y float64) {
		dx, dy := (x-x0)/size, (y-y0)/size
		r := math.Hypot(dx*1.3, dy)
		ray := 0.5 + 0.5*noise.Cloud(s, 6*math.Atan2(dy, dx), r*3, 3)
		front := 0.34 + 0.16*noise.Cloud(s+1, 3*math.Atan2(dy, dx), 0.4, 2)
		k := math.Exp(-r*r/0.04)*0.30 + 0.13*ray*step(front-r, 0.05)
		edge := math.Exp(-math.Pow((r-front)/0.012, 2))
		w.tone[i] = w.tone[i]*(1-0.55*k) + 0.5*k + 0.045*edge
		w.stain[i] += 0.3 * k
	})
}

func (w *work) oysters() {
	s := w.seed(25)
	for n := range 5 {
		side := int(4 * w.src.Next())
		t := w.src.Next()
		x0, y0 := t*w.WidthMM, 0.0
		switch side {
		case 1:
			y0 = w.HeightMM
		case 2:
			x0, y0 = 0, t*w.HeightMM
		case 3:
			x0, y0 = w.WidthMM, t*w.HeightMM
		}
		size := w.src.Between(6, 15) * math.Sqrt(min(w.WidthMM, w.HeightMM)/90)
		k0 := s + uint64(n)*31
		w.each(func(i int, x, y float64) {
			d := math.Hypot(x-x0, y-y0)
			if d > 1.9*size {
				return
			}
			d += size * 0.30 * noise.Cloud(k0, x/5, y/5, 4)
			in := step(size-d, size*0.10)
			ring := 0.5 + 0.5*math.Sin(d*9/size+3*noise.Plane(k0+3, x/6, y/6))
			rim := math.Exp(-math.Pow((d-size)/0.35, 2))
			w.tone[i] = w.tone[i]*(1-0.30*in) + in*(0.07+0.09*ring) + 0.08*rim
			w.stain[i] += 0.75*in*(0.5+0.5*ring) + 0.6*rim
		})
	}
}

// spot calls f for pixels within r millimetres of (x0, y0).
func (w *work) spot(x0, y0, r float64, f func(i int, dx, dy float64)) {
	lo := func(v float64) int { return max(0, int((v-r)*w.px)) }
	for y := lo(y0); y < min(w.h, int((y0+r)*w.px)+2); y++ {
		for x := lo(x0); x < min(w.w, int((x0+r)*w.px)+2); x++ {
			f(y*w.w+x, (float64(x)+0.5)/w.px-x0, (float64(y)+0.5)/w.px-y0)
		}
	}
}

func (w *work) somewhere() (x, y float64) {
	return w.src.Next() * w.WidthMM, w.src.Next() * w.HeightMM
}

func (w *work) comets() {
	count := 14 + int(w.WidthMM*w.HeightMM/900)
	for range count {
		x0, y0 := w.somewhere()
		w.comet(x0, y0, w.src.Between(0.10, 0.34), w.src.Between(2.5, 11))
	}
}

func (w *work) comet(x0, y0, head, tail float64) {
	turn := w.pour + w.src.Between(-0.12, 0.12)
	s, c := math.Sin(turn), math.Cos(turn)
	dark := w.src.Next() < 0.35
	w.spot(x0, y0, tail+2, func(i int, dx, dy float64) {
		a, b := dx*c+dy*s, -dx*s+dy*c
		d := math.Hypot(a, b)
		core := step(head-d, 0.05)
		wide := head*0.8 + 0.05*max(a, 0)
		t := 0.0
		if a > 0 {
			t = math.Exp(-b*b/(wide*wide)) * max(0, 1-a/tail) * max(0, 1-a/tail)
		}
		if dark {
			w.tone[i] *= 1 - 0.55*t
		} else {
			w.tone[i] += 0.20 * t * (1 - w.tone[i])
		}
		w.tone[i] = w.tone[i]*(1-core) + 0.03*core
	})
}

func (w *work) pinholes() {
	for range 40 {
		x0, y0 := w.somewhere()
		r := w.src.Between(0.06, 0.16)
		w.spot(x0, y0, 1, func(i int, dx, dy float64) {
			w.tone[i] *= 1 - 0.95*step(r-math.Hypot(dx, dy), 0.06)
		})
	}
}

func (w *work) blackSpots() {
	for n := range 9 {
		x0, y0 := w.somewhere()
		r := w.src.Between(0.25, 0.9)
		s := w.seed(40 + uint64(n))
		w.spot(x0, y0, 3, func(i int, dx, dy float64) {
			d := math.Hypot(dx, dy) * (1 + 0.35*noise.Cloud(s, dx*2, dy*2, 2))
			w.tone[i] *= 1 - 0.95*step(r-d, 0.1)
			w.tone[i] += 0.05 * math.Exp(-math.Pow((d-r-0.15)/0.12, 2))
		})
	}
}

// stains are brown patches by the edge and one finger.
func (w *work) stains() {
	for n := range 3 {
		s := w.seed(60 + uint64(n))
		x0, y0 := w.cornerAt(w.corner + 1 + n)
		size := w.src.Between(8, 17) * math.Sqrt(w.WidthMM/90)
		x0 += w.src.Between(-6, 6)
		y0 += w.src.Between(-6, 6)
		w.spot(x0, y0, 2*size, func(i int, dx, dy float64) {
			d := math.Hypot(dx, dy) + 0.45*size*noise.Cloud(s, dx/7, dy/7, 4)
			k := step(size*0.75-d, size*0.22)
			w.stain[i] += 1.1 * k
			w.tone[i] = w.tone[i]*(1-0.35*k) + 0.035*k
		})
	}
	w.finger()
}

func (w *work) finger() {
	s := w.seed(70)
	x0, y0 := w.cornerAt(w.corner + 2)
	cx, cy := w.WidthMM/2, w.HeightMM/2
	l := math.Hypot(cx-x0, cy-y0)
	x0, y0 = x0+(cx-x0)/l*8, y0+(cy-y0)/l*8
	turn := w.src.Between(0, 3)
	w.spot(x0, y0, 12, func(i int, dx, dy float64) {
		a, b := dx*math.Cos(turn)+dy*math.Sin(turn), -dx*math.Sin(turn)+dy*math.Cos(turn)
		d := math.Hypot(a/8.5, b/6)
		in := step(1-d, 0.12) * (0.6 + 0.4*noise.Plane(s, dx/2, dy/2))
		ridge := 0.5 + 0.5*math.Sin(13*math.Hypot(a*0.8, b*1.1+1.5)+1.8*noise.Plane(s+1, dx/3, dy/3))
		k := in * ridge
		w.tone[i] += 0.075*k - 0.02*in
		w.stain[i] += 0.55 * in
	})
}

func (w *work) scratches() {
	for n := range 3 {
		s := w.seed(80 + uint64(n))
		x0, y0 := w.somewhere()
		turn := w.src.Between(0, math.Pi)
		long := w.src.Between(6, 26)
		si, co := math.Sin(turn), math.Cos(turn)
		w.spot(x0, y0, long, func(i int, dx, dy float64) {
			a, b := dx*co+dy*si, -dx*si+dy*co
			b += 0.5 * noise.Plane(s, a/9, 0)
			k := math.Exp(-b*b/0.006) * step(long/2-math.Abs(a), 2) * (0.7 + 0.3*noise.Plane(s, a, 3))
			w.tone[i] *= 1 - 0.8*k
		})
	}
}

func (w *work) dust() {
	for range 30 {
		w.fleck(0.4)
	}
}

// fleck is one grain or hair of dust on the varnish, pale.
func (w *work) fleck(gain float64) {
	x0, y0 := w.somewhere()
	r := w.src.Between(0.04, 0.12)
	if w.src.Next() < 0.25 {
		turn, bend := w.src.Between(0, math.Pi), w.src.Between(-0.25, 0.25)
		long := w.src.Between(0.8, 2.6)
		si, co := math.Sin(turn), math.Cos(turn)
		w.spot(x0, y0, long+0.5, func(i int, dx, dy float64) {
			a, b := dx*co+dy*si, -dx*si+dy*co
			b -= bend * a * a
			w.tone[i] += 0.6 * gain * math.Exp(-b*b/0.003) * step(long-math.Abs(a), 0.2)
		})
		return
	}
	w.spot(x0, y0, 0.6, func(i int, dx, dy float64) {
		w.tone[i] += gain * step(r-math.Hypot(dx, dy), 0.05)
	})
}
