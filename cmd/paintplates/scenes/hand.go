package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// Hand is a right hand by its grip. Its own coordinates: wrist at the origin, fingers towards +y, palm towards +z,
// thumb at −x. Left mirrors it.
type Hand struct {
	Curl   [4]float64 // degrees each joint of index … little finger bends
	Thumb  float64    // degrees the thumb closes over the palm
	Spread float64    // degrees between neighbouring fingers
	Left   bool
	Broad  float64 // 0 slender … 1 broad
	Age    float64
	Cuff   float64 // tone of the sleeve; 0 for none
	Seed   uint64
	At     vec.V
	Turn   vec.Turn
}

// chain is a finger: from its root, bending by curl at each joint about the x axis turned by fan.
func chain(root vec.V, fan, first, curl float64, bones [3]float64, r float64) (f.SDF, [4]vec.V) {
	t := vec.Turned(0, 0, fan)
	at := root
	var joints [4]vec.V
	joints[0] = at
	bend := first
	var parts []f.SDF
	for i, l := range bones {
		dir := t.Apply(v(0, math.Cos(bend*math.Pi/180), math.Sin(bend*math.Pi/180)))
		end := at.Add(dir.Mul(l))
		k := 1 - 0.10*float64(i)
		parts = append(parts, f.Rod(at, end, r*k, r*(k-0.10)), f.Ball(at, r*k*1.06))
		at = end
		joints[i+1] = at
		bend += curl
	}
	return f.Melt(0.22, parts...), joints
}

// solid is the hand with its nails, and the places of the nails.
func (h Hand) solid() (f.SDF, []vec.V) {
	b := 1 + 0.16*h.Broad
	bones := [4][3]float64{{4.3, 2.6, 2.1}, {4.8, 2.9, 2.3}, {4.4, 2.8, 2.2}, {3.4, 2.1, 1.9}}
	roots := [4]vec.V{v(-3.1*b, 8.9, 0), v(-1.0*b, 9.4, -0.25), v(1.1*b, 9.1, -0.2), v(3.0*b, 8.2, 0)}
	parts := []f.SDF{
		f.Box(v(0, 5.0, 0), v(3.9*b, 4.3, 1.15), 1.0),
		f.Egg(v(-2.4*b, 3.3, 1.0), v(1.8*b, 3.2, 1.3)),
		f.Egg(v(2.7*b, 3.6, 0.7), v(1.4*b, 3.4, 1.1)),
		f.Rod(v(0, 0.5, 0), v(0, -9, -0.2), 2.45*b, 2.9*b),
	}
	var nails []vec.V
	fingers := []f.SDF{}
	tendons := []f.SDF{}
	for i := range 4 {
		fan := (1.5 - float64(i)) * h.Spread
		s, j := chain(roots[i], fan, h.Curl[i]*0.85, h.Curl[i], bones[i], (0.84-0.05*math.Abs(float64(i)-1.2))*b)
		fingers = append(fingers, s)
		tip := j[3].Sub(j[2]).Norm()
		back := vec.Turned(0, 0, fan).Apply(v(1, 0, 0)).Cross(tip).Mul(-1)
		nails = append(nails, j[3].Sub(tip.Mul(0.35)).Add(back.Mul(-0.55)))
		tendons = append(tendons, f.Rod(roots[i].Add(v(0, 0, -0.75)), v(roots[i].X*0.35, 1.5, -0.95), 0.42, 0.22))
	}
	a := h.Thumb * math.Pi / 180
	t0 := v(-3.0*b, 2.6, 0.6)
	t1 := t0.Add(v(-2.6+1.3*math.Sin(a), 3.0, 0.6+1.9*math.Sin(a)))
	t2 := t1.Add(v(-1.0+3.2*math.Sin(a), 2.9-1.2*math.Sin(a), 0.4+0.9*math.Sin(a)))
	t3 := t2.Add(v(-0.3+2.2*math.Sin(a), 2.4-0.9*math.Sin(a), 0.1))
	thumb := f.Melt(0.4, f.Rod(t0, t1, 1.5*b, 1.05*b), f.Rod(t1, t2, 1.0*b, 0.9*b), f.Rod(t2, t3, 0.95*b, 0.72*b))
	nails = append(nails, t3.Add(v(-0.5, 0.1, -0.45)))
	palm := f.Melt(1.4, parts...)
	all := f.Union(fingers...)
	cords := f.Union(tendons...)
	s := func(p vec.V) float64 {
		d := palm(p)
		if d > 9 {
			return d - 7
		}
		d = f.Smin(d, all(p), 0.8)
		d = f.Smin(d, cords(p), 0.7)
		d = f.Smin(d, thumb(p), 1.0)
		wr := 0.05 + 0.07*h.Age
		return (d - wr*noise.Cloud3(h.Seed, p.X*1.1, p.Y*1.7, p.Z*1.1, 3)) * 0.9
	}
	if h.Left {
		g := s
		s = func(p vec.V) float64 { p.X = -p.X; return g(p) }
		for i := range nails {
			nails[i].X = -nails[i].X
		}
	}
	return s, nails
}

func (h Hand) things() []light.Thing {
	s, nails := h.solid()
	const k = 0.92
	s = f.Scaled(s, k)
	for i := range nails {
		nails[i] = nails[i].Mul(k)
	}
	q := pose{h.At, h.Turn}
	skin := func(p, n vec.V) light.Surface {
		a := 0.36 * (1 + 0.16*noise.Cloud3(h.Seed+1, p.X*0.8, p.Y*0.8, p.Z*0.8, 3))
		a *= 1 - 0.18*h.Age*between(0.1, 0.5, noise.Cloud3(h.Seed+2, p.X*1.9, p.Y*1.9, p.Z*1.9, 2))
		vein := math.Abs(noise.Plane(h.Seed+3, p.X*0.55+0.2*p.Y, p.Y*0.16))
		if p.Z < 0 && p.Y < 9 {
			a *= 1 - 0.14*between(0.09, 0.02, vein)
		}
		for _, k := range nails {
			if d := p.Sub(k).Len(); d < 0.72 {
				return light.Surface{Albedo: a * (1.15 - 0.35*between(0.55, 0.72, d)), Gloss: 0.7, Sharp: 40, Soft: 0.4}
			}
		}
		return light.Surface{Albedo: a, Gloss: 0.22, Sharp: 16, Soft: 0.5}
	}
	half := v(16, 20, 16)
	out := []light.Thing{thing("hand", q.solid(s), h.At.Add(h.Turn.Apply(v(0, 5, 0))), half, 150, q.skin(skin))}
	if h.Cuff > 0 {
		sleeve := f.Rough(f.Union(f.Rod(v(0, -4.4, 0), v(0, -26, 0), 3.5, 5.0), f.Placed(f.Ring(vec.V{}, 3.2, 0.42), v(0, -3.6, 0), vec.Still)), 0.75, func(p vec.V) float64 {
			return 0.35*noise.Cloud3(h.Seed+8, p.X*0.3, p.Y*0.22, p.Z*0.3, 3) + 0.15*math.Sin(p.Y*0.9+2*noise.Value(h.Seed+9, p.X*0.2, p.Y*0.2, p.Z*0.2))
		})
		out = append(out, thing("sleeve", q.solid(sleeve), h.At.Add(h.Turn.Apply(v(0, -15, 0))), v(16, 18, 16), 90, q.skin(cloth(h.Cuff, h.Seed+10))))
	}
	return out
}
