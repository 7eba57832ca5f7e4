package scenes

import (
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/vec"
)

// Clay is a bare head, to judge the modelling by.
func Clay(c Face, yaw, pitch float64, kind string, side float64) *light.Scene {
	w, room := studioLight(kind, side)
	q := pose{v(0, 0, 0), vec.Turned(yaw, pitch, 0)}
	eyes, iris := c.eyes()
	return &light.Scene{
		Things: []light.Thing{
			thing("head", q.solid(c.skull()), v(0, -3, 0), v(14, 18, 14), 110, q.skin(c.skin())),
			thing("eyes", q.solid(eyes), v(0, 0, 0), v(9, 5, 9), 60, q.skin(iris)),
			wall(-60, 0.2, 5),
		},
		Windows: w, Room: room, Far: 500,
		Cam: light.Camera{Eye: v(0, 2, 190), Aim: v(0, -1, 0), Height: 36, Focus: v(0, 0, 7), Iris: 1},
	}
}
