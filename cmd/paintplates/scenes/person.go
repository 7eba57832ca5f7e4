package scenes

import (
	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/vec"
)

// Person is a sitter as posed: the head turns on the body, the body on the chair.
type Person struct {
	Face              Face
	Yaw, Pitch, Roll  float64 // of the head, degrees; see vec.Turned
	Body              float64 // yaw of the body
	Lean              vec.V   // moves the head against the body
	Hair, Beard, Hat  string
	HairTone, HatTone float64
	BeardTone         float64
	Dress             string
	DressTone         float64
	Scarf             float64 // tone of a scarf; 0 for none
	Size              float64 // 0 slight … 1 broad
	At                vec.V   // place of the head's origin
}

// things builds a person.
func (p Person) things() []light.Thing {
	c := p.Face
	head := pose{p.At.Add(p.Lean), vec.Turned(p.Yaw, p.Pitch, p.Roll)}
	body := pose{p.At.Add(v(0, 4.2, 0)), vec.Turned(p.Body, 0, 0)}
	if p.BeardTone == 0 {
		p.BeardTone = p.HairTone
	}
	var out []light.Thing
	add := func(name string, q pose, s f.SDF, m func(a, b vec.V) light.Surface, c, half vec.V, cells int) {
		if s != nil {
			out = append(out, thing(name, q.solid(s), q.at.Add(c), half, cells, q.skin(m)))
		}
	}
	add("head", head, c.skull(), c.skin(), v(0, -4, 0), v(12.5, 16.5, 12.5), 165)
	eyes, iris := c.eyes()
	add("eyes", head, eyes, iris, v(0, 0, 0), v(9, 6, 9), 90)
	s, m := c.hair(p.Hair, p.HairTone)
	add("hair", head, s, m, v(0, -4, 0), v(17, 28, 17), 110)
	s, m = c.beard(p.Beard, p.BeardTone)
	add("beard", head, s, m, v(0, -8, 3), v(12, 12, 12), 90)
	s, m = hat(p.Hat, p.HatTone, c.Seed+500)
	add("hat", head, s, m, v(0, 2, 0), v(24, 26, 24), 130)
	for _, g := range dress(p.Dress, p.DressTone, p.Size, c.Seed+600) {
		add("cloth", body, g.solid, g.skin, v(0, -36, -2), v(34, 28, 24), g.cells)
	}
	if p.Scarf > 0 {
		g := scarf(p.Scarf, c.Seed+700)
		add("scarf", body, g.solid, g.skin, v(0, -22, 2), v(14, 20, 16), g.cells)
	}
	return out
}

// Portrait is a person before a wall.
type Portrait struct {
	People []Person
	Kind   string  // of light
	Side   float64 // −1 from the left
	Back   float64 // albedo of the wall
	Height float64 // of the field at the face
	Aim    vec.V
	Extra  []light.Thing
	Iris   float64
}

func (q Portrait) scene() *light.Scene {
	w, room := studioLight(q.Kind, q.Side)
	if q.Iris == 0 {
		q.Iris = 1.3
	}
	s := &light.Scene{Windows: w, Room: room, Far: 500}
	for _, p := range q.People {
		s.Things = append(s.Things, p.things()...)
	}
	s.Things = append(s.Things, q.Extra...)
	s.Things = append(s.Things, wall(-65, 0.72*q.Back, 11))
	q.Height *= 0.92
	eye := q.Aim.Add(v(0, 6, 210))
	s.Cam = light.Camera{Eye: eye, Aim: q.Aim, Height: q.Height, Focus: q.Aim.Add(v(0, 0, 7.5)), Iris: q.Iris}
	return s
}
