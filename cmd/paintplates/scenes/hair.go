package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// strands is relief along the flow: fine across it, long along it. flow turns a point into (across, along, depth).
func strands(seed uint64, depth float64, flow func(p vec.V) vec.V) func(vec.V) float64 {
	return func(p vec.V) float64 {
		q := flow(p)
		lock := noise.Value(seed, q.X*0.55, q.Y*0.10, q.Z*0.55)
		fine := noise.Value(seed+1, q.X*2.1, q.Y*0.22, q.Z*2.1)
		hair := noise.Value(seed+2, q.X*5, q.Y*0.35, q.Z*5)
		return depth * (0.70*lock + 0.35*fine + 0.12*hair)
	}
}

// combed is hair seen as strands: albedo varies lock by lock and the highlight runs across.
func combed(tone float64, seed uint64, flow func(p vec.V) vec.V, along func(p vec.V) vec.V) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		q := flow(p)
		k := noise.Value(seed+2, q.X*1.3, q.Y*0.12, q.Z*1.3)
		fine := noise.Value(seed+3, q.X*6, q.Y*0.3, q.Z*6)
		a := tone * (1 + 0.35*k + 0.35*fine)
		return light.Surface{Albedo: max(0.01, a), Gloss: 0.35 + 1.2*tone, Sharp: 18, Hair: along(p), Tilt: v(fine*0.15, 0, k*0.1)}
	}
}

func straight(p vec.V) vec.V { return v(p.X, p.Y, p.Z) }

// backwards flows from the brow over the crown: across is the angle round the front-back axis.
func backwards(p vec.V) vec.V {
	return v(9*math.Atan2(p.X, p.Y+4), 9*math.Atan2(-p.Z, p.Y+4), math.Hypot(p.X, p.Y)*0.3)
}

func tangentBack(p vec.V) vec.V { return v(0, p.Z, -(p.Y + 4)).Norm() }
func tangentDown(p vec.V) vec.V { return v(0.15*p.X/8, -1, 0).Norm() }

// parted falls from a parting to both sides.
func parted(p vec.V) vec.V {
	return v(p.Z+0.2*p.Y, 9*math.Atan2(p.X-1.5, p.Y+3), 0.3*math.Hypot(p.X, p.Y))
}

func tangentSide(p vec.V) vec.V { return v(p.Y+3, -(p.X - 1.5), 0).Norm() }

// hair gives a head's hair by style.
func (c Face) hair(style string, tone float64) (f.SDF, func(p, n vec.V) light.Surface) {
	s := c.Seed + 300
	wide := 1 + 0.06*c.Wide
	cap := f.Egg(v(0, 4.2, -1.5), v(8.1*wide, 8.5, 9.8))
	front := f.Egg(v(0, -1.6, 9.4), v(7.0*wide, 9.0, 6.6))
	nape := f.Egg(v(0, -9, -3), v(9, 6.5, 7))
	side := f.Mirror(f.Egg(v(8.6*wide, -2.2, 3.0), v(2.4, 4.5, 4.2)))
	short := func(p vec.V) float64 {
		d := cap(p)
		if d > 3 {
			return d
		}
		d = f.Smax(d, -front(p), 0.9)
		d = f.Smax(d, -nape(p), 0.9)
		return f.Smax(d, -side(p), 0.8)
	}
	switch style {
	case "swept": // combed back, a little long
		full := f.Melt(1.5, short, f.Egg(v(0, 9.2, 3.2), v(5.0, 2.6, 4.6)), f.Mirror(f.Egg(v(6.6*wide, 2.0, -2.5), v(2.0, 4.6, 4.5))))
		return f.Rough(full, 0.75, strands(s, 0.5, backwards)), combed(tone, s, backwards, tangentBack)
	case "parted":
		full := f.Melt(1.2, short, f.Egg(v(-2.6, 9.4, 2.8), v(5.0, 2.6, 4.6)), f.Mirror(f.Egg(v(6.9*wide, 1.4, 0.2), v(1.5, 4.0, 3.4))))
		return f.Rough(full, 0.75, strands(s, 0.45, parted)), combed(tone, s, parted, tangentSide)
	case "bun":
		full := f.Melt(1.2, short,
			f.Mirror(f.Egg(v(5.9*wide, 3.4, 2.2), v(2.2, 4.4, 3.8))),
			f.Egg(v(0, 5.6, -10.8), v(3.6, 3.5, 3.2)))
		return f.Rough(full, 0.75, strands(s, 0.38, backwards)), combed(tone, s, backwards, tangentBack)
	case "plait":
		full := f.Melt(1.2, short, f.Mirror(f.Egg(v(6.1*wide, 2.8, 1.6), v(2.0, 4.6, 3.8))))
		plait := func(p vec.V) float64 {
			t := clamp((-2 - p.Y) / 24)
			c0 := v(6.6+2.2*t, 0, -3.5+9.5*between(0, 0.7, t))
			r := 1.75 - 0.8*t
			w := p.Y * 1.25
			d := math.Hypot(p.X-c0.X-0.65*math.Sin(w), p.Z-c0.Z-0.65*math.Cos(w)) - r
			d2 := math.Hypot(p.X-c0.X+0.65*math.Sin(w), p.Z-c0.Z+0.65*math.Cos(w)) - r
			d = f.Smin(d, d2, 0.3)
			return f.Smax(d*0.75, max(p.Y+1, -28-p.Y), 0.6)
		}
		both := f.Melt(0.8, full, plait)
		return f.Rough(both, 0.7, strands(s, 0.35, parted)), combed(tone, s, parted, tangentSide)
	case "fringe": // a crown of hair round a bald head
		ring := f.Carve(1.2, short, f.Egg(v(0, 9.5, 1.5), v(8.6, 6.6, 10.5)))
		return f.Rough(ring, 0.75, strands(s, 0.4, straight)), combed(tone, s, straight, tangentDown)
	case "under": // flat below a hat
		return func(p vec.V) float64 { return short(p) + 0.35 }, combed(tone, s, backwards, tangentBack)
	case "crop":
		return f.Rough(short, 0.8, strands(s, 0.25, backwards)), combed(tone, s, backwards, tangentBack)
	}
	return nil, nil
}

// beard gives whatever grows on the lower face.
func (c Face) beard(style string, tone float64) (f.SDF, func(p, n vec.V) light.Surface) {
	s := c.Seed + 400
	jaw := 1 + 0.13*c.Jaw
	lips := f.Egg(v(0, -5.85, 9.6), v(2.1, 0.5, 2.0))
	stache := f.Mirror(f.Melt(0.6, f.Rod(v(0.35, -4.35, 9.3), v(2.4, -5.0, 8.4), 0.62, 0.55), f.Rod(v(2.4, -5.0, 8.4), v(3.7, -6.3, 7.2), 0.5, 0.2)))
	flow := func(p vec.V) vec.V { return v(p.X+0.25*p.X*p.Y/8, p.Y+0.3*p.Z, p.Z) }
	skin := combed(tone, s, flow, tangentDown)
	whisker := f.Mirror(f.Melt(1.2, f.Egg(v(5.9*jaw, -3.2, 1.4), v(1.05, 4.2, 1.5)), f.Egg(v(5.2*jaw, -6.0, 2.6), v(1.15, 1.9, 1.8))))
	switch style {
	case "full":
		mass := f.Melt(1.6,
			f.Egg(v(0, -8.8, 5.4), v(4.6*jaw, 4.4, 4.3)),
			f.Mirror(f.Rod(v(6.3*jaw, -1.6, 0.8), v(4.4*jaw, -6.6, 3.6), 0.9, 2.0)),
			f.Egg(v(0, -12.5, 6.0), v(3.2, 3.6, 2.8)))
		cheek := f.Mirror(f.Egg(v(3.9, -2.2, 7.6), v(2.7, 2.9, 3.0)))
		nose := f.Egg(v(0, -2.8, 10), v(1.9, 1.6, 2))
		full := f.Melt(0.5, f.Carve(0.8, f.Carve(0.7, f.Carve(0.9, mass, cheek), nose), lips), stache)
		return f.Rough(full, 0.65, strands(s, 0.5, flow)), skin
	case "short":
		mass := f.Melt(1.4, f.Egg(v(0, -8.2, 5.3), v(4.3*jaw, 3.2, 4.0)), f.Mirror(f.Rod(v(6.1*jaw, -2, 0.6), v(4.4*jaw, -6.6, 3.2), 0.75, 1.6)))
		cheek := f.Mirror(f.Egg(v(3.9, -2.4, 7.6), v(2.7, 3.1, 3.0)))
		full := f.Melt(0.4, f.Carve(0.7, f.Carve(0.9, mass, cheek), lips), stache)
		return f.Rough(full, 0.7, strands(s, 0.4, flow)), skin
	case "moustache":
		return f.Rough(stache, 0.7, strands(s, 0.35, flow)), skin
	case "whiskers":
		return f.Rough(f.Melt(0.4, whisker, stache), 0.7, strands(s, 0.45, flow)), skin
	}
	return nil, nil
}
