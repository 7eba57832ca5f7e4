package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// hat gives what is on the head, in the head's own coordinates.
func hat(kind string, tone float64, seed uint64) (f.SDF, func(p, n vec.V) light.Surface) {
	felt := cloth(tone, seed)
	switch kind {
	case "flat cap":
		crown := f.TiltedEgg(v(0, 8.8, -0.8), v(9.7, 4.8, 11.3), vec.Turned(0, 9, -3))
		peak := f.Common(0.3, f.TiltedEgg(v(0, 6.7, 7.6), v(7.2, 1.0, 6.0), vec.Turned(0, 16, 0)), f.Plane(v(0, 6.3, 0), v(0, -1, -0.30).Norm()))
		band := f.Egg(v(0, 5.6, -1.3), v(8.4, 3.2, 9.9))
		s := f.Melt(0.7, f.Carve(0.5, f.Melt(1.2, crown, band), f.Plane(v(0, 4.5, 0), v(0, 1, -0.05))), peak)
		return f.Rough(s, 0.8, func(p vec.V) float64 {
			return 0.35*noise.Cloud3(seed, p.X*0.22, p.Y*0.4, p.Z*0.22, 2) + 0.05*math.Sin(p.X*2.2)
		}), felt
	case "straw":
		brim := f.Turned(v(0, 6.3, -0.8), [][2]float64{{7, 0.0}, {13, -0.6}, {18.5, -2.0}, {19, -1.9}, {13, -0.1}, {7, 0.5}}, 0)
		crown := f.Egg(v(0, 7.6, -0.8), v(8.9, 6.6, 10.2))
		s := f.Carve(0.2, f.Melt(0.8, crown, brim), f.Egg(v(0, 3.6, -1), v(7.9, 7.6, 9.4)))
		weave := func(p, n vec.V) light.Surface {
			r := math.Hypot(p.X, p.Z+0.8)
			band := between(7.0, 7.2, p.Y) * between(9.4, 9.2, p.Y) * between(10.8, 10, r)
			a := tone * (0.82 + 0.22*math.Sin(r*5.5+p.Y*3) + 0.16*noise.Value(seed, p.X*3, p.Y*3, p.Z*3))
			a = a*(1-band) + 0.05*band
			return light.Surface{Albedo: a, Tilt: v(0.2*math.Sin(r*5.5), 0, 0.2*math.Cos(r*5.5+math.Atan2(p.X, p.Z)*14))}
		}
		bend := func(p vec.V) vec.V {
			r := math.Hypot(p.X, p.Z)
			p.Y -= 0.02 * (r - 9) * max(0, r-9) * math.Sin(2*math.Atan2(p.Z, p.X)+0.5) * 0.8
			return p
		}
		return func(p vec.V) float64 { return s(bend(p)) * 0.8 }, weave
	case "felt":
		brim := f.Turned(v(0, 6.0, -1), [][2]float64{{7, 0}, {12, 0.0}, {15.0, 1.2}, {15.3, 1.6}, {12, 0.6}, {7, 0.6}}, 0)
		crown := f.Carve(1.4, f.Melt(1, f.Drum(v(0, 9.4, -1), 8.6, 4.6, 3.4)), f.TiltedEgg(v(0, 15.4, -1), v(2.2, 3.2, 8), vec.Still))
		s := f.Carve(0.3, f.Melt(0.7, crown, brim), f.Egg(v(0, 3.3, -1), v(7.8, 7, 9.3)))
		wave := func(p vec.V) float64 {
			p.Y += 0.8 * math.Sin(math.Atan2(p.X, p.Z)*2+0.4) * between(8, 15, math.Hypot(p.X, p.Z))
			p.Z *= 0.9
			return s(p) * 0.8
		}
		return wave, felt
	case "bowler":
		brim := f.Turned(v(0, 5.8, -1), [][2]float64{{7, 0}, {11, 0.0}, {13.0, 1.3}, {12.9, 1.9}, {11, 0.6}, {7, 0.6}}, 0)
		s := f.Carve(0.3, f.Melt(0.6, f.Egg(v(0, 6.0, -1), v(8.7, 9.8, 9.9)), brim), f.Plane(v(0, 4.9, 0), v(0, 1, 0)))
		return func(p vec.V) float64 { q := p; q.Z *= 0.92; return s(q) * 0.9 }, func(p, n vec.V) light.Surface {
			r := light.Surface{Albedo: tone, Gloss: 0.25, Sharp: 10}
			if p.Y > 6.2 && p.Y < 8.4 && math.Hypot(p.X, p.Z+1) < 10.6 {
				r.Albedo *= 0.5
				r.Gloss = 0.8
			}
			return r
		}
	case "peaked":
		crown := f.Melt(0.8, f.Drum(v(0, 8.4, -1), 8.8, 2.6, 0.8), f.TiltedEgg(v(0, 10.8, -0.6), v(11.2, 2.0, 11.8), vec.Turned(0, 4, 0)))
		peak := f.Common(0.2, f.TiltedEgg(v(0, 5.8, 7.4), v(7.4, 1.3, 5.6), vec.Turned(0, 24, 0)), f.Plane(v(0, 5.5, 0), v(0, -1, -0.42).Norm()))
		s := f.Carve(0.3, f.Melt(0.25, crown, peak), f.Plane(v(0, 5.4, 0), v(0, 1, 0)))
		peaked := f.Union(s, peak)
		return func(p vec.V) float64 { return peaked(p) * 0.9 }, func(p, n vec.V) light.Surface {
			if p.Y < 6.4 && p.Z > 6.5 {
				return light.Surface{Albedo: 0.03, Gloss: 1.2, Sharp: 40}
			}
			r := felt(p, n)
			if p.Y < 9.0 && p.Y > 7.9 && p.Z > -20 {
				r.Albedo = 0.10
				r.Gloss, r.Sharp = 0.8, 30
			}
			return r
		}
	case "knitted":
		s := f.Carve(0.5, f.Melt(0.6, f.Egg(v(0, 5.2, -1.5), v(8.8, 8.6, 10.2)), f.Turned(v(0, 5.0, -1.4), [][2]float64{{7, -1.8}, {9.0, -1.8}, {9.3, 0}, {9.0, 1.8}, {7, 1.8}}, 0)), f.Plane(v(0, 3.6, 0), v(0, 1, -0.12).Norm()))
		return f.Rough(s, 0.7, func(p vec.V) float64 {
			a := math.Atan2(p.X, p.Z+1.4)
			rib := math.Abs(math.Sin(a * 24))
			return 0.22*rib + 0.06*math.Sin(p.Y*7) + 0.15*noise.Value(seed, p.X*0.4, p.Y*0.4, p.Z*0.4)
		}), felt
	case "kerchief":
		shell := f.Egg(v(0, 4.3, -1.4), v(9.0, 9.2, 10.6))
		front := f.Egg(v(0, -2.8, 9.8), v(8.3, 10.0, 7.6))
		low := f.Plane(v(0, -5.4, 0), v(0, 1, -0.42).Norm())
		s := f.Melt(0.8, f.Carve(0.5, f.Carve(0.7, shell, front), low),
			f.Egg(v(0, -3.6, -10.2), v(2.4, 1.8, 1.6)), f.Rod(v(0.6, -4.2, -10.6), v(2.2, -12, -9.8), 1.2, 0.5), f.Rod(v(-0.6, -4.2, -10.6), v(-1.9, -11, -10), 1.1, 0.4))
		fold := func(p vec.V) float64 {
			a := math.Atan2(p.X, -p.Z+1)
			return 0.28*math.Sin(a*7+0.35*p.Y)*between(9, -2, p.Z) + 0.15*noise.Cloud3(seed, p.X*0.4, p.Y*0.4, p.Z*0.4, 2)
		}
		return f.Rough(s, 0.75, fold), func(p, n vec.V) light.Surface {
			r := felt(p, n)
			if math.Sin(p.X*1.7+p.Z*1.7) > 0.93 || math.Sin(p.Y*1.7-p.Z) > 0.93 {
				r.Albedo *= 0.62
			}
			return r
		}
	case "lace cap":
		shell := f.Egg(v(0, 4.6, -1.8), v(9.1, 9.2, 10.5))
		s := f.Carve(0.6, f.Carve(0.5, shell, f.Egg(v(0, -2.4, 8.8), v(9, 10.6, 7.4))), f.Plane(v(0, -3.2, 0), v(0, 1, -0.1)))
		edge := func(p vec.V) float64 {
			rim := math.Abs(f.Egg(v(0, -2.4, 8.8), v(9, 10.6, 7.4))(p))
			return 0.10*noise.Value(seed, p.X*0.7, p.Y*0.7, p.Z*0.7) + 0.55*between(1.6, 0.2, rim)*(0.5+0.5*math.Sin(6*(p.Y+math.Abs(p.X)*0.8)))
		}
		return f.Rough(s, 0.6, edge), cloth(tone, seed)
	case "hood":
		shell := f.Melt(3, f.Egg(v(0, 3.4, -2.2), v(10.4, 11, 11.6)), f.Rod(v(0, -6, -4), v(0, -20, -5), 9.5, 12))
		s := f.Carve(1.2, shell, f.Melt(3, f.Egg(v(0, -1.0, 9.2), v(7.9, 10.8, 10.5)), f.Egg(v(0, -12, 9), v(6, 8, 9)), f.Egg(v(0, 2, -1.4), v(8.4, 8.8, 9.9))))
		return f.Rough(s, 0.7, func(p vec.V) float64 {
			a := math.Atan2(p.X, p.Z)
			return 0.5*noise.Cloud3(seed, a*1.6, p.Y*0.12, 0.3*p.Z, 3) + 0.3*math.Sin(a*6+0.2*p.Y)*between(2, -8, p.Y)
		}), felt
	case "headscarf":
		shell := f.Egg(v(0, 4.3, -1.4), v(8.9, 9.2, 10.5))
		front := f.Egg(v(0, -1.2, 10.2), v(8.6, 10.4, 7.6))
		s := f.Carve(0.5, f.Carve(0.7, f.Melt(1, shell, f.Egg(v(0, -3, -7.5), v(4.5, 4, 3.5))), front), f.Plane(v(0, -3.5, 0), v(0, 1, -0.5).Norm()))
		return f.Rough(s, 0.75, func(p vec.V) float64 {
			return 0.25*math.Sin(p.Z*1.1+p.Y*0.8) + 0.15*noise.Cloud3(seed, p.X*0.4, p.Y*0.4, p.Z*0.4, 2)
		}), felt
	}
	return nil, nil
}
