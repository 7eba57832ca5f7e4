package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// patience is the plaster head of the morning's test.
var patience = Face{Wide: -0.2, Jaw: 0.1, Nose: 0.3, Hook: 0.2, Lips: 0.2, Lids: 1, Seed: 99}

// test is the plaster head beside a card of nine grey steps.
func test(kind string, yaw float64) *light.Scene {
	w, room := studioLight(kind, -1)
	q := pose{v(-9, 2, -2), vec.Turned(yaw, 2, 0)}
	plaster := func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.62 * (1 + 0.12*noise.Cloud3(5, p.X*0.3, p.Y*0.3, p.Z*0.3, 3)), Soft: 0.2}
	}
	curls := f.Rough(f.Carve(0.8, f.Egg(v(0, 4.4, -1.4), v(8.3, 8.8, 9.9)), f.Melt(1, f.Egg(v(0, -2.2, 9.4), v(6.9, 9.0, 6.8)), f.Egg(v(0, -11, 0), v(12, 7, 12)))), 0.6, func(p vec.V) float64 {
		return 0.7 * noise.Cloud3(7, p.X*0.55, p.Y*0.55, p.Z*0.55, 2)
	})
	plinth := f.Melt(1.5, f.Drum(v(0, -19, -3.5), 8.5, 2.5, 0.8), f.Drum(v(0, -25, -3.5), 11, 4, 0.5))
	card := f.Box(v(13, -3, 0), v(6.5, 17, 0.2), 0)
	steps := func(p, n vec.V) light.Surface {
		k := math.Floor((p.Y + 20) / 34 * 9)
		a := 0.86 * math.Pow(0.5, (8-k)*0.62)
		if x := p.X - 13; math.Abs(x) > 5.6 || math.Abs(p.Y+3) > 16.2 {
			a = 0.8
		}
		return light.Surface{Albedo: a}
	}
	return &light.Scene{
		Things: []light.Thing{
			thing("plaster", q.solid(f.Union(patience.skull(), curls, plinth)), q.at.Add(v(0, -8, -1)), v(15, 24, 15), 120, q.skin(plaster)),
			{Name: "card", Solid: f.Bake(card, v(5, -21, -1), v(21, 15, 1), 60), Skin: steps},
			wall(-50, 0.2, 13),
		},
		Windows: w, Room: room, Far: 500,
		Cam: light.Camera{Eye: v(0, 4, 180), Aim: v(0, -4, 0), Height: 42, Focus: v(0, 0, 5), Iris: 1},
	}
}
