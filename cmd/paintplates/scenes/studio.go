package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// window is a rectangle of light seen from the origin at az degrees to the right of the camera's axis and el degrees
// up, dist away, facing the origin, whose sides are 2·halfW and 2·halfH. A white card at the origin facing it is
// exposed to level.
func window(az, el, dist, halfW, halfH, level float64) light.Window {
	a, e := az*math.Pi/180, el*math.Pi/180
	d := v(math.Sin(a)*math.Cos(e), math.Sin(e), math.Cos(a)*math.Cos(e))
	side := v(0, 1, 0).Cross(d).Norm()
	up := d.Cross(side)
	return light.Window{Centre: d.Mul(dist), U: side.Mul(halfW), V: up.Mul(halfH), Power: level * math.Pi * dist * dist / (4 * halfW * halfH)}
}

// kind of light, as the studio calls it, from one side (+1 right, −1 left).
func studioLight(kind string, side float64) ([]light.Window, func(vec.V) float64) {
	switch kind {
	case "north skylight":
		return []light.Window{window(60*side, 36, 170, 75, 60, 1.25)}, light.Toward(v(side, 0.8, 0.5), 0.42, 0.05)
	case "open shade":
		return []light.Window{window(52*side, 32, 260, 150, 110, 0.85)}, light.Toward(v(side*0.8, 0.9, 0.7), 0.70, 0.09)
	case "overcast deck":
		return []light.Window{window(25*side, 62, 400, 300, 220, 0.55)}, light.Dome(0.75, 0.16)
	default: // lamp bank
		return []light.Window{window(70*side, 24, 130, 30, 50, 1.35), window(-148*side, 35, 150, 20, 45, 0.45)}, light.Even(0.05)
	}
}

// cloth is a hanging or worn material with a weave and soft uneven dye.
func cloth(albedo float64, seed uint64) light.Material {
	return func(p, n vec.V) light.Surface {
		a := albedo * (1 + 0.13*noise.Cloud3(seed, p.X*0.25, p.Y*0.25, p.Z*0.25, 3) + 0.12*noise.Value(seed+1, p.X*4, p.Y*4, p.Z*4))
		t := v(noise.Value(seed+2, p.X*3.1, p.Y*3.1, p.Z*3.1), noise.Value(seed+3, p.X*3.1, p.Y*3.1, p.Z*3.1), 0).Mul(0.10)
		return light.Surface{Albedo: a, Tilt: t, Soft: 0.15}
	}
}

// wall is a painted backdrop z behind the sitter.
func wall(z, albedo float64, seed uint64) light.Thing {
	s := f.Plane(v(0, 0, z), v(0, 0, 1))
	m := func(p, n vec.V) light.Surface {
		a := albedo * (1 + 0.35*noise.Cloud3(seed, p.X*0.018, p.Y*0.018, 0, 4))
		return light.Surface{Albedo: a}
	}
	return light.Thing{Name: "wall", Solid: f.Bake(s, v(-220, -160, z-8), v(220, 160, z+2), 40), Skin: m, Ghost: true}
}

// thing bakes a solid that lies within half of c.
func thing(name string, s f.SDF, c, half vec.V, cells int, m light.Material) light.Thing {
	return light.Thing{Name: name, Solid: f.Bake(s, c.Sub(half), c.Add(half), cells), Skin: m}
}

// posed moves solid and material from a person's own coordinates into the scene.
type pose struct {
	at   vec.V
	turn vec.Turn
}

func (q pose) solid(s f.SDF) f.SDF { return f.Placed(s, q.at, q.turn) }

func (q pose) skin(m func(p, n vec.V) light.Surface) light.Material {
	return func(p, n vec.V) light.Surface {
		s := m(q.turn.Undo(p.Sub(q.at)), q.turn.Undo(n))
		s.Tilt = q.turn.Apply(s.Tilt)
		s.Hair = q.turn.Apply(s.Hair)
		return s
	}
}
