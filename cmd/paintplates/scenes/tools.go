package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// iron is forged and worn: dark, with a broken shine.
func iron(seed uint64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		k := noise.Cloud3(seed, p.X*0.6, p.Y*0.6, p.Z*0.6, 3)
		t := v(noise.Value(seed+1, p.X*2, p.Y*2, p.Z*2), noise.Value(seed+2, p.X*2, p.Y*2, p.Z*2), 0).Mul(0.15)
		return light.Surface{Albedo: 0.06 * (1 + 0.5*k), Gloss: 0.9 + 0.5*k, Sharp: 22, Tilt: t}
	}
}

// brass goes nearly black on a blue-sensitive plate and keeps its shine.
func brass(seed uint64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		k := noise.Cloud3(seed, p.X*0.4, p.Y*0.4, p.Z*0.4, 3)
		return light.Surface{Albedo: 0.07 * (1 + 0.4*k), Gloss: 1.6 + 0.5*k, Sharp: 60, Mirror: 0.10 + 0.04*k}
	}
}

// timber has its grain along x.
func timber(albedo float64, seed uint64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		g := noise.Cloud3(seed, p.X*0.06, p.Y*0.9, p.Z*0.9, 3)
		line := math.Sin(9*g + 3*p.Y)
		return light.Surface{Albedo: albedo * (1 + 0.22*g + 0.10*line), Gloss: 0.3, Sharp: 18, Tilt: v(0, 0.06*line, 0)}
	}
}

// windlass is a lock key: a shaft with a square eye below and a cranked handle above, about 40 long; origin at the eye.
func windlass() f.SDF {
	eye := f.Carve(0.1, f.Box(v(0, 0, 0), v(2.6, 2.6, 1.5), 0.5), f.Box(v(0, 0, 0), v(1.3, 1.3, 3), 0.1))
	return f.Melt(0.6, eye, f.Rod(v(0, 2.2, 0), v(0, 30, 0), 1.25, 1.15), f.Rod(v(0, 30, 0), v(0, 31, 2), 1.3, 1.2), f.Rod(v(0, 31, 1), v(0, 31, 13), 1.1, 1.1), f.Rod(v(0, 31, 4.5), v(0, 31, 12), 1.5, 1.6))
}

// rope is a laid rope along a closed or open path of points.
func rope(path []vec.V, r float64) f.SDF {
	total := make([]float64, len(path))
	for i := 1; i < len(path); i++ {
		total[i] = total[i-1] + path[i].Sub(path[i-1]).Len()
	}
	return func(p vec.V) float64 {
		best, along, who := math.Inf(1), 0.0, 0
		for i := 1; i < len(path); i++ {
			a, b := path[i-1], path[i]
			ab, q := b.Sub(a), p.Sub(a)
			t := clamp(q.Dot(ab) / ab.Dot(ab))
			if d := q.Sub(ab.Mul(t)).Len(); d < best {
				best, along, who = d, total[i-1]+t*(total[i]-total[i-1]), i
			}
		}
		if best > 3*r {
			return best - 1.2*r
		}
		dir := path[who].Sub(path[who-1]).Norm()
		u := dir.Cross(v(0.31, 0.9, 0.3)).Norm()
		w := dir.Cross(u)
		mid := path[who-1].Add(dir.Mul(along - total[who-1]))
		q := p.Sub(mid)
		a := math.Atan2(q.Dot(w), q.Dot(u))
		strand := math.Abs(math.Sin(1.5*a + along*math.Pi/(3.4*r)*1.5*0.5))
		return (best - r*(0.82+0.22*strand)) * 0.7
	}
}

// coil is a path of turns about the z axis, loosely laid.
func coil(turns int, r, wobble float64, seed uint64) []vec.V {
	var out []vec.V
	for i := range turns*26 + 1 {
		a := float64(i) / 26 * 2 * math.Pi
		k := a / (2 * math.Pi)
		rr := r + wobble*noise.Plane(seed, k*1.7, 0.3)
		out = append(out, v(rr*math.Cos(a), 1.25*rr*math.Sin(a)+wobble*noise.Plane(seed+1, k*1.3, 2), k*1.5+wobble*noise.Plane(seed+2, k*2.3, 5)))
	}
	return out
}

// hemp colours a rope.
func hemp(albedo float64, seed uint64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		k := noise.Cloud3(seed, p.X*1.5, p.Y*1.5, p.Z*1.5, 3)
		return light.Surface{Albedo: albedo * (1 + 0.35*k), Tilt: v(0.2*noise.Value(seed+1, p.X*6, p.Y*6, p.Z*6), 0.2*noise.Value(seed+2, p.X*6, p.Y*6, p.Z*6), 0)}
	}
}

var bellProfile = [][2]float64{{0, 20}, {4.6, 20}, {6.2, 18.6}, {6.9, 16}, {7.3, 11}, {8.2, 6.6}, {10.0, 2.6}, {11.8, 0}, {11.0, -0.2}, {0, -0.2}}

// bell stands on its lip, 23 high with its crown; two raised bands and lettering between.
func bell() (f.SDF, func(p, n vec.V) light.Surface) {
	s := f.Melt(0.3, f.Turned(vec.V{}, bellProfile, 0),
		f.Ring(v(0, 16.2, 0), 6.75, 0.3), f.Ring(v(0, 13.0, 0), 7.05, 0.3), f.Ring(v(0, 4.4, 0), 9.2, 0.35), f.Ring(v(0, 3.0, 0), 9.8, 0.25),
		f.Placed(f.Ring(vec.V{}, 2.2, 0.85), v(0, 21.6, 0), vec.Turned(0, 90, 0)))
	letters := func(p vec.V) float64 {
		if p.Y < 13.6 || p.Y > 15.7 {
			return 0
		}
		a := math.Atan2(p.X, p.Z) * 7
		k := int64(math.Floor(a / 1.5))
		u := a - 1.5*float64(k)
		bar := 0.0
		if math.Abs(u-0.35) < 0.17 && noise.Unit(8, k, 0, 0) < 0.9 || math.Abs(u-1.05) < 0.15 && noise.Unit(8, k, 1, 0) < 0.6 {
			bar = 1
		}
		for i, y := range []float64{13.9, 14.65, 15.4} {
			if math.Abs(p.Y-y) < 0.17 && u > 0.2 && u < 1.2 && noise.Unit(8, k, 2, int64(i)) < 0.6 {
				bar = 1
			}
		}
		if noise.Unit(8, k, 7, 7) < 0.14 {
			bar = 0
		}
		return 0.16 * bar
	}
	return f.Rough(s, 0.8, letters), brass(31)
}

// fiddle is an unvarnished violin lying in its own plane: origin at the middle of the body, scroll towards +y, front +z.
func fiddle() (f.SDF, func(p, n vec.V) light.Surface) {
	half := func(y float64) float64 { // outline: half width at height y
		switch {
		case y < -6:
			return 10.2 * math.Sqrt(max(0, 1-math.Pow((y+8.2)/9.6, 2)))
		case y > 6.5:
			return 8.2 * math.Sqrt(max(0, 1-math.Pow((y-9.2)/8.6, 2)))
		}
		t := (y + 6) / 12.5
		return 9.93 + (7.78-9.93)*t - 4.3*math.Sin(math.Pi*t)
	}
	outline := func(x, y float64) float64 { return (math.Abs(x) - half(y)) * 0.72 }
	plate := func(p vec.V) float64 {
		o := outline(p.X, p.Y)
		arch := 1.3 * clamp(-o/6)
		d := max(o, math.Abs(p.Z)-1.7-arch)
		return max(d, max(p.Y-17.7, -17.7-p.Y)) * 0.8
	}
	neck := f.Union(
		f.Rod(v(0, 16, 1.6), v(0, 33, 0.9), 1.5, 1.2),
		f.Box(v(0, 22, 3.2), v(1.75, 14.5, 0.5), 0.3),
		f.Box(v(0, 36.5, 0.4), v(1.2, 4.6, 1.4), 0.5),
		f.Placed(f.Melt(0.3, f.Rod(v(-1.9, 0, 0), v(1.9, 0, 0), 1.15, 1.15), f.Placed(f.Ring(vec.V{}, 1.5, 0.5), v(0, 0, 0), vec.Turned(0, 0, 90))), v(0, 42, -0.4), vec.Still),
	)
	pegs := f.Union(f.Rod(v(-3.6, 35, 0.4), v(2.0, 35, 0.4), 0.6, 0.35), f.Rod(v(3.6, 37, 0.4), v(-2.0, 37, 0.4), 0.6, 0.35), f.Rod(v(-3.6, 39, 0.2), v(2.0, 39, 0.2), 0.6, 0.35))
	s := f.Union(f.Melt(0.3, plate, neck), pegs)
	wood := timber(0.56, 41)
	return s, func(p, n vec.V) light.Surface {
		r := wood(v(p.Y, p.X*1.6, p.Z), n)
		o := outline(p.X, p.Y)
		if p.Z > 1.2 && math.Abs(p.Y) < 17.7 {
			if math.Abs(o+0.75) < 0.13 {
				r.Albedo = 0.10 // purfling
			}
			x := math.Abs(p.X)
			cx := 4.1 + 0.55*math.Sin((p.Y+1)*0.7)
			if p.Y > -5 && p.Y < 3.2 && math.Abs(x-cx) < 0.34 || math.Hypot(x-3.5, p.Y-3.5) < 0.65 || math.Hypot(x-4.9, p.Y+5.3) < 0.75 {
				return light.Surface{Albedo: 0.015}
			}
		}
		if p.Y > 8 && p.Z > 2.65 && math.Abs(p.X) < 1.9 || math.Abs(p.X) > 1.9 && p.Y > 33 {
			r.Albedo, r.Gloss, r.Sharp = 0.03, 0.8, 40 // ebony
		}
		return r
	}
}

// bow lies along y: stick, hair, frog.
func bow() (f.SDF, func(p, n vec.V) light.Surface) {
	stick := func(p vec.V) float64 {
		p.Z -= 0.0011 * p.Y * p.Y
		return f.Rod(v(0, -36, 0.6), v(0, 36, 0.6), 0.48, 0.36)(p)
	}
	hair := f.Box(v(0, 0, 2.7), v(0.5, 34, 0.09), 0)
	frog := f.Box(v(0, -31, 1.7), v(0.6, 2.5, 1.0), 0.2)
	tip := f.Box(v(0, 35, 1.6), v(0.5, 0.9, 1.2), 0.2)
	return f.Union(stick, hair, frog, tip), func(p, n vec.V) light.Surface {
		if math.Abs(p.Z-2.7) < 0.16 {
			return light.Surface{Albedo: 0.75 * (1 + 0.1*math.Sin(p.X*60))}
		}
		return light.Surface{Albedo: 0.06, Gloss: 1.0, Sharp: 40}
	}
}

// concertina has six sides, its axis along x; wide is the length of the open bellows.
func concertina(wide float64) (f.SDF, func(p, n vec.V) light.Surface) {
	hex := func(y, z float64) float64 {
		y, z = math.Abs(y), math.Abs(z)
		return max(z*0.866+y*0.5, y) - 7.6
	}
	s := func(p vec.V) float64 {
		x := math.Abs(p.X)
		h := hex(p.Y, p.Z)
		end := max(h, math.Abs(x-wide/2-1.6)-1.6) - 0.15
		fold := math.Abs(math.Mod(x+100, 1.9)/0.95 - 1)
		bellows := max((h+0.1+1.25*(1-fold)+0.35)*0.6, x-wide/2)
		studs := math.Inf(1)
		for i := range 9 {
			a, b := float64(i%3)-1, float64(i/3)-1
			q := v(x-wide/2-3.3, p.Y-b*2.4, p.Z-a*2.4)
			studs = min(studs, f.Egg(vec.V{}, v(0.5, 0.42, 0.42))(q))
		}
		strap := max(math.Abs(math.Hypot(x-wide/2-2.6, p.Y*0.34)-2.3)-0.18, math.Abs(p.Z+1)-1.4)
		return min(min(end, bellows), min(studs, max(strap, wide/2+3-x)))
	}
	return s, func(p, n vec.V) light.Surface {
		x := math.Abs(p.X)
		if x < wide/2 {
			fold := math.Abs(math.Mod(x+100, 1.9)/0.95 - 1)
			a := 0.05 + 0.42*between(0.82, 0.95, fold)*between(0.5, 0.2, math.Abs(math.Mod(math.Atan2(p.Y, p.Z)*6/math.Pi+12, 2)-1))
			return light.Surface{Albedo: a, Gloss: 0.5, Sharp: 20}
		}
		if x > wide/2+3.3 && math.Hypot(math.Mod(p.Y+6+1.2, 2.4)-1.2, math.Mod(p.Z+6+1.2, 2.4)-1.2) < 0.5 {
			return light.Surface{Albedo: 0.7, Gloss: 0.8, Sharp: 40}
		}
		fret := noise.Cloud3(51, p.X, p.Y*0.9, p.Z*0.9, 1)
		if x > wide/2+2.9 && math.Abs(fret) < 0.10 && hex(p.Y, p.Z) < -1 {
			return light.Surface{Albedo: 0.01}
		}
		return light.Surface{Albedo: 0.07, Gloss: 1.1, Sharp: 35}
	}
}

// basket is woven willow: stakes and weavers over and under.
func basket(r, h, flare float64, seed uint64) (f.SDF, func(p, n vec.V) light.Surface) {
	wall := f.Turned(vec.V{}, [][2]float64{{0, 0}, {r, 0}, {r + flare, h}, {r + flare - 1.0, h}, {r - 1.0, 1.0}, {0, 1.0}}, 0)
	rim := f.Ring(v(0, h, 0), r+flare-0.5, 0.9)
	const stakes = 24
	weave := func(p vec.V) float64 {
		a := math.Atan2(p.X, p.Z) * stakes / 2
		row := math.Floor(p.Y / 0.95)
		over := math.Sin(a + math.Pi*math.Mod(row, 2))
		round := math.Sqrt(max(0, 1-math.Pow(2*(p.Y/0.95-row)-1, 2)))
		return 0.42*round*(0.35+0.65*max(0, over)) + 0.25*max(0, -over)*between(0.75, 0.95, math.Abs(math.Cos(a)))
	}
	twist := func(p vec.V) float64 {
		return 0.25 * math.Abs(math.Sin(math.Atan2(p.X, p.Z)*22+2*p.Y))
	}
	s := f.Union(f.Rough(wall, 0.55, weave), f.Rough(rim, 0.6, twist))
	return s, func(p, n vec.V) light.Surface {
		row := math.Floor(p.Y / 0.95)
		k := noise.Unit(seed, int64(row), 3, 1)
		return light.Surface{Albedo: 0.24 * (0.7 + 0.6*k) * (1 + 0.25*noise.Cloud3(seed, p.X*0.6, p.Y*0.6, p.Z*0.6, 2)), Gloss: 0.35, Sharp: 16}
	}
}

// lamp is an oil lamp with a round globe in a cage; 24 high.
func lamp(at vec.V, seed uint64) []light.Thing {
	metal := f.Union(
		f.Turned(vec.V{}, [][2]float64{{0, 0}, {5.6, 0}, {6.2, 0.8}, {5.8, 4.2}, {3.6, 5.4}, {3.0, 6.6}, {0, 6.6}}, 0),
		f.Turned(vec.V{}, [][2]float64{{0, 17.6}, {3.4, 17.6}, {4.4, 18.6}, {3.2, 20.4}, {2.4, 22.4}, {2.9, 22.8}, {0, 23.2}}, 0),
		f.Placed(f.Ring(vec.V{}, 5.4, 0.28), v(0, 24.0, 0), vec.Turned(25, 90, 0)),
		f.Rod(v(5.9, 3, 0), v(5.9, 14, 0), 0.3, 0.3), f.Rod(v(5.9, 14, 0), v(3.6, 18.6, 0), 0.3, 0.3),
		f.Rod(v(-5.9, 3, 0), v(-5.9, 14, 0), 0.3, 0.3), f.Rod(v(-5.9, 14, 0), v(-3.6, 18.6, 0), 0.3, 0.3),
		f.Ring(v(0, 11, 0), 5.7, 0.24),
		f.Rod(v(5.2, 2.8, 2.5), v(7.6, 3.1, 3.6), 0.35, 0.35), f.Ball(v(7.9, 3.1, 3.8), 0.85),
	)
	globe := f.Turned(vec.V{}, [][2]float64{{0, 6.6}, {3.0, 6.6}, {4.6, 8.6}, {5.1, 11.4}, {4.4, 14.4}, {3.1, 17.2}, {0, 17.6}}, 0)
	q := pose{at, vec.Turned(20, 0, 0)}
	m := iron(seed)
	g := thing("globe", q.solid(globe), at.Add(v(0, 12, 0)), v(6, 7, 6), 60, func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.10, Gloss: 2.2, Sharp: 160, Mirror: 0.06}
	})
	g.Veil = 0.62
	wick := f.Union(f.Drum(v(0, 8, 0), 1.3, 1.6, 0.2), f.Egg(v(0, 10.6, 0), v(0.5, 1.2, 0.3)))
	return []light.Thing{
		thing("lamp", q.solid(metal), at.Add(v(0, 14, 0)), v(9.5, 16.5, 9.5), 130, q.skin(m)), g,
		thing("wick", q.solid(wick), at.Add(v(0, 9, 0)), v(2, 4, 2), 40, light.Shiny(0.2, 0.8, 20)),
	}
}

// camera is a wooden bellows camera with a brass lens towards +z; 30 high.
func camera() (f.SDF, func(p, n vec.V) light.Surface) {
	front := f.Carve(0.1, f.Box(v(0, 15, 11), v(10, 10.5, 1.1), 0.3), f.Box(v(0, 15, 12.2), v(6.4, 6.4, 0.5), 0.1))
	panel := f.Box(v(0, 15, 11.2), v(6.2, 6.2, 0.9), 0.2)
	back := f.Union(f.Box(v(0, 15, -13), v(13.5, 13.5, 2.2), 0.4), f.Box(v(0, 29.2, -13), v(3.4, 0.8, 0.6), 0.3))
	bed := f.Union(f.Box(v(0, 1.2, 1), v(8.6, 1.0, 18), 0.3), f.Box(v(-7.6, 2.6, 1), v(0.8, 0.6, 18), 0.1), f.Box(v(7.6, 2.6, 1), v(0.8, 0.6, 18), 0.1))
	bellows := func(p vec.V) float64 {
		t := clamp((p.Z + 11) / 21)
		r := 11.6 - 4.0*t
		fold := math.Abs(math.Mod(p.Z+100, 2.3)/1.15 - 1)
		d := max(math.Abs(p.X), math.Abs(p.Y-15)) - r - 0.9*fold + 0.4
		return max(d*0.6, math.Abs(p.Z+0.5)-10.8)
	}
	lens := f.Union(f.Placed(f.Union(f.Drum(v(0, 2.5, 0), 4.3, 2.8, 0.2), f.Drum(v(0, 7, 0), 4.9, 1.9, 0.3), f.Drum(v(0, 0.4, 0), 5.3, 0.5, 0.2), f.Ring(v(0, 8.9, 0), 4.6, 0.4), f.Ring(v(0, 4.6, 0), 4.5, 0.25)), v(0, 15, 12), vec.Turned(0, 90, 0)), f.Rod(v(4, 15, 16), v(6.2, 15, 16), 0.5, 0.5), f.Ball(v(6.5, 15, 16), 0.9))
	hole := f.Placed(f.Drum(v(0, 9.6, 0), 4.0, 1.6, 0.2), v(0, 15, 12), vec.Turned(0, 90, 0))
	s := f.Union(front, panel, back, bed, bellows, f.Carve(0.1, lens, hole))
	wood, metal := timber(0.13, 61), brass(62)
	return s, func(p, n vec.V) light.Surface {
		switch {
		case lens(p) < 0.12 || hole(p) < 0.1 && p.Z > 18:
			if math.Hypot(p.X, p.Y-15) < 3.9 && p.Z > 18 {
				return light.Surface{Albedo: 0.01, Gloss: 2.5, Sharp: 200, Mirror: 0.15}
			}
			return metal(p, n)
		case bellows(p) < 0.05:
			return light.Surface{Albedo: 0.05, Gloss: 0.45, Sharp: 12}
		}
		for _, c := range []vec.V{v(9, 24, 12), v(-9, 24, 12), v(9, 6, 12), v(-9, 6, 12)} {
			if p.Sub(c).Len() < 0.8 {
				return metal(p, n)
			}
		}
		if math.Abs(math.Abs(p.X)-12.2) < 1.2 && math.Abs(math.Abs(p.Y-15)-12.2) < 1.2 {
			return metal(p, n)
		}
		if math.Abs(p.Y) < 5 {
			return wood(v(p.Z, p.X, p.Y), n)
		}
		return wood(v(p.Y, p.X, p.Z), n)
	}
}
