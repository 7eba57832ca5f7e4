package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// Outdoors one unit is ten centimetres, so that the marcher's tolerances hold.

// sky is white to the plate, a little darker overhead.
func sky(seed uint64) func(vec.V) float64 {
	return func(d vec.V) float64 {
		c := noise.Cloud(seed, d.X*2.2/(0.25+math.Abs(d.Y)), 1.5/(0.25+math.Abs(d.Y)), 4)
		return 0.95 + 0.12*c - 0.25*max(0, d.Y)
	}
}

func water(level float64, seed uint64) light.Thing {
	s := f.Plane(v(0, level, 0), v(0, 1, 0))
	return light.Thing{Name: "water", Solid: f.Bake(s, v(-900, level-12, -900), v(900, level+2, 420), 60), Ghost: true, Skin: func(p, n vec.V) light.Surface {
		t := v(noise.Cloud(seed, p.X*0.05, p.Z*0.14, 3), 0, noise.Cloud(seed+3, p.X*0.05, p.Z*0.16, 3)).Mul(0.045)
		return light.Surface{Albedo: 0.04, Mirror: 0.30, Tilt: t}
	}}
}

func bricks(albedo float64, seed uint64) light.Material {
	return func(p, n vec.V) light.Surface {
		u := p.X
		if math.Abs(n.X) > 0.6 {
			u = p.Z
		}
		row := math.Floor(p.Y / 1.5)
		bx, by := math.Mod(u+1000+math.Mod(row, 2)*1.5, 3), math.Mod(p.Y+1500, 1.5)
		cell := noise.Unit(seed, int64(math.Floor((u+1000+math.Mod(row, 2)*1.5)/3)), int64(row), 1)
		a := albedo * (0.85 + 0.3*cell) * (1 + 0.35*noise.Cloud3(seed, p.X*0.03, p.Y*0.05, p.Z*0.03, 4))
		if bx < 0.25 || by < 0.22 {
			a *= 1.22
		}
		return light.Surface{Albedo: a}
	}
}

// house is a gabled front facing the camera, with a door and windows that are dark holes.
func house(x, w, h, gable, z, albedo float64, seed uint64) light.Thing {
	body := f.Box(v(x, h/2, z-30), v(w/2, h/2, 30), 0)
	roof := func(p vec.V) float64 {
		q := p.Sub(v(x, h, z-30))
		return max(max(math.Abs(q.X)*gable+q.Y-(w/2+1.5)*gable, -q.Y-1)/math.Hypot(gable, 1), math.Abs(q.Z)-31)
	}
	var holes []f.SDF
	rows := int(h / 28)
	for r := range rows {
		for c := -1; c <= 1; c++ {
			if r == 0 && c == 0 {
				holes = append(holes, f.Box(v(x, 10, z), v(5, 12, 2.2), 0))
				continue
			}
			holes = append(holes, f.Box(v(x+float64(c)*w*0.3, 16+float64(r)*27, z), v(3.4, 6, 1.6), 0))
		}
	}
	holes = append(holes, f.Box(v(x, h+5, z), v(3.6, 6, 1.6), 0))
	s := f.Carve(0.2, f.Union(body, roof), f.Union(holes...))
	m := bricks(albedo, seed)
	top := h + (w/2)*gable
	return thing("house", s, v(x, top/2, z-30), v(w/2+4, top/2+4, 34), 130, func(p, n vec.V) light.Surface {
		if n.Y > 0.25 {
			t := math.Abs(math.Sin(p.Y * 1.1))
			return light.Surface{Albedo: 0.10 * (0.7 + 0.4*t) * (1 + 0.4*noise.Cloud3(seed, p.X*0.1, p.Y*0.1, p.Z*0.1, 3))}
		}
		if p.Z < z-1.0 && n.Z > 0.5 && p.Y < top {
			if in := body(p); in < -0.9 {
				return light.Surface{Albedo: 0.03, Gloss: 0.6, Sharp: 40, Mirror: 0.04}
			}
		}
		return m(p, n)
	})
}

func tree(at vec.V, h, r float64, seed uint64) light.Thing {
	src := noise.NewSource(seed)
	masses := []f.SDF{f.Egg(at.Add(v(0, h*0.58, 0)), v(r*0.62, h*0.36, r*0.62))}
	for range 9 {
		a, k := src.Between(0, 2*math.Pi), src.Between(0.25, 1)
		up := h * (0.42 + 0.5*src.Next()*(1.1-0.6*k))
		s := r * src.Between(0.28, 0.48)
		masses = append(masses, f.Egg(at.Add(v(0.72*r*k*math.Sin(a), up, 0.72*r*k*math.Cos(a))), v(s, s*0.8, s)))
	}
	crown := f.Rough(f.Union(masses...), 0.4, func(p vec.V) float64 {
		return 0.22*r*noise.Cloud3(seed, p.X*4/r, p.Y*4/r, p.Z*4/r, 4) - 0.02*r
	})
	trunk := f.Rod(at, at.Add(v(0, h*0.5, 0)), r*0.09, r*0.05)
	return thing("tree", f.Union(crown, trunk), at.Add(v(0, h*0.55, 0)), v(r*1.4, h*0.62, r*1.4), 80, func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.10 * (1 + 0.8*noise.Cloud3(seed+1, p.X*0.9, p.Y*0.9, p.Z*0.9, 3)), Tilt: v(noise.Value(seed+2, p.X, p.Y, p.Z), noise.Value(seed+3, p.X, p.Y, p.Z), 0).Mul(0.6), Soft: 0.4}
	})
}
