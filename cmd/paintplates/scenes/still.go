package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// table is a board at y = 0, planks along x.
func table(albedo float64, seed uint64) light.Thing {
	s := f.Box(v(0, -3, 0), v(120, 3, 42), 0.6)
	return thing("table", s, v(0, -3, 0), v(122, 4, 44), 90, func(p, n vec.V) light.Surface {
		grain := noise.Cloud3(seed, p.X*0.03, p.Y, p.Z*0.9, 3)
		a := albedo * (1 + 0.45*grain)
		if gap := math.Abs(math.Mod(p.Z+200, 17) - 8.5); gap < 0.25 && n.Y > 0.5 {
			a *= 0.25
		}
		return light.Surface{Albedo: a, Gloss: 0.15, Sharp: 12, Tilt: v(0, 0, 0.12*grain)}
	})
}

// setting is a still life: things on a table before a wall.
func setting(kind string, side, board, back, height float64, aim vec.V, things ...light.Thing) *light.Scene {
	w, room := studioLight(kind, side)
	for i := range w {
		w[i].Centre = w[i].Centre.Add(v(0, 12, 0))
	}
	s := &light.Scene{Windows: w, Room: room, Far: 500}
	s.Things = append(things, table(board, 71), wall(-60, back, 12))
	s.Cam = light.Camera{Eye: aim.Add(v(0, 34, 190)), Aim: aim, Height: height, Focus: aim.Add(v(0, 0, 4)), Iris: 1.2}
	return s
}

// bottle is blown glass, nearly black to the plate, with the window in its shoulder.
func bottle(at vec.V, h, r float64) light.Thing {
	prof := [][2]float64{{0, 0}, {r, 0}, {r, h * 0.58}, {r * 0.93, h * 0.64}, {r * 0.5, h * 0.74}, {r * 0.36, h * 0.8}, {r * 0.33, h * 0.95}, {r * 0.45, h * 0.955}, {r * 0.45, h}, {0, h}}
	s := f.Turned(at, prof, 0)
	rounded := func(p vec.V) float64 { return s(p) - 0.12 }
	return thing("bottle", rounded, at.Add(v(0, h/2, 0)), v(r+1, h/2+1, r+1), 80, func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.03, Gloss: 1.4, Sharp: 120, Mirror: 0.05}
	})
}

// cloth laid on the table in folds.
func drape(at vec.V, w, d, h, albedo float64, seed uint64) light.Thing {
	s := func(p vec.V) float64 {
		q := p.Sub(at)
		e := max(math.Abs(q.X)-w, math.Abs(q.Z)-d)
		n := noise.Cloud3(seed, q.X*0.07, 0, q.Z*0.07, 2)
		top := h * (0.5 + 0.5*math.Sin(q.X*0.42+q.Z*0.22+5*n)) * between(0, -9, e+3*n)
		return max((q.Y-top-0.35)*0.6, e+2*n)
	}
	return thing("cloth", s, at.Add(v(0, h/2, 0)), v(w+5, h+2, d+5), 90, cloth(albedo, seed))
}

// ring is an upright profile turned by code: pots, jars, bells.
func turned(name string, at vec.V, prof [][2]float64, round float64, m light.Material) light.Thing {
	r, lo, hi := 0.0, 1e9, -1e9
	for _, q := range prof {
		r, lo, hi = max(r, q[0]), min(lo, q[1]), max(hi, q[1])
	}
	s := f.Turned(at, prof, 0)
	return thing(name, func(p vec.V) float64 { return s(p) - round }, at.Add(v(0, (lo+hi)/2, 0)), v(r+1, (hi-lo)/2+1, r+1), 90, m)
}

// straw is a coiled straw rope surface: coils of the given height.
func straw(albedo, coil float64, seed uint64) light.Material {
	return func(p, n vec.V) light.Surface {
		a := math.Atan2(p.X, p.Z)
		st := noise.Value(seed, a*16, p.Y*2.2, 0)
		bind := math.Sin(a*34 + p.Y*1.6)
		return light.Surface{Albedo: albedo * (0.85 + 0.3*st + 0.18*between(0.6, 0.95, bind)), Gloss: 0.15, Sharp: 10, Tilt: v(0.25*st, 0.2*bind, 0)}
	}
}

// skep is a bee hive of coiled straw with a small door.
func skep(at vec.V, h, r float64, seed uint64) light.Thing {
	coil := h / 13
	body := f.Egg(at.Add(v(0, h*0.30, 0)), v(r, h*0.72, r))
	base := f.Drum(at.Add(v(0, h*0.15, 0)), r*0.985, h*0.16, 1)
	shape := f.Common(0.5, f.Melt(4, body, base), f.Plane(at, v(0, -1, 0)))
	door := f.Egg(at.Add(v(0.12*r, h*0.06, r)), v(2.2, 2.6, 5))
	s := f.Rough(f.Carve(0.4, shape, door), 0.7, func(p vec.V) float64 {
		y := p.Y - at.Y + 0.3*noise.Value(seed, p.X*0.2, p.Y*0.2, p.Z*0.2)
		return 0.55*math.Abs(math.Sin(math.Pi*y/coil)) - 0.3
	})
	m := straw(0.34, coil, seed)
	return thing("skep", s, at.Add(v(0, h/2, 0)), v(r+3, h/2+3, r+3), 120, func(p, n vec.V) light.Surface { return m(p.Sub(at), n) })
}

// fruit is a quince or an apple with its dimple.
func fruit(at vec.V, r, albedo float64, seed uint64) light.Thing {
	s := f.Melt(0.5, f.Carve(0.9, f.Egg(at.Add(v(0, r*0.93, 0)), v(r, r*0.95, r)), f.Rod(at.Add(v(0, r*2.3, 0)), at.Add(v(0, r*1.75, 0)), r*0.3, r*0.08)), f.Rod(at.Add(v(0, r*1.6, 0)), at.Add(v(0.3, r*2.25, 0.1)), 0.14, 0.2))
	lump := f.Rough(s, 0.85, func(p vec.V) float64 { return 0.12 * r * noise.Cloud3(seed, p.X*0.25, p.Y*0.25, p.Z*0.25, 2) })
	return thing("fruit", lump, at.Add(v(0, r, 0)), v(r+1, r*1.5, r+1), 60, func(p, n vec.V) light.Surface {
		a := albedo * (1 + 0.25*noise.Cloud3(seed+1, p.X*0.5, p.Y*0.3, p.Z*0.5, 3))
		if noise.Value(seed+2, p.X*2.6, p.Y*2.6, p.Z*2.6) > 0.62 {
			a *= 0.6
		}
		return light.Surface{Albedo: a, Gloss: 0.35, Sharp: 25, Soft: 0.2}
	})
}

// book lies flat, its spine to the camera.
func book(at vec.V, w, h, d, yaw, albedo float64, seed uint64) light.Thing {
	q := pose{at.Add(v(0, h/2, 0)), vec.Turned(yaw, 0, 0)}
	cover := f.Union(f.Box(v(0, h/2-0.2, 0), v(w/2, 0.2, d/2), 0.1), f.Box(v(0, -h/2+0.2, 0), v(w/2, 0.2, d/2), 0.1), f.Common(0.2, f.Box(v(0, 0, d/2-0.4), v(w/2, h/2, 0.6), 0.35), f.Box(v(0, 0, d/2), v(w, h, 2), 0)))
	pages := f.Box(v(0, 0, -0.3), v(w/2-0.5, h/2-0.3, d/2-0.5), 0.1)
	s := f.Union(cover, pages)
	return thing("book", q.solid(s), q.at, v(w, h, w), 90, q.skin(func(p, n vec.V) light.Surface {
		if pages(p) < cover(p) {
			return light.Surface{Albedo: 0.55 * (1 + 0.3*math.Sin(p.Y*34)*0.6)}
		}
		a := albedo * (1 + 0.4*noise.Cloud3(seed, p.X*0.4, p.Y*0.8, p.Z*0.4, 3))
		if p.Z > d/2-0.5 && math.Abs(math.Abs(p.X)-w*0.3) < 0.35 {
			a *= 0.4
		}
		return light.Surface{Albedo: a, Gloss: 0.25, Sharp: 14}
	}))
}
