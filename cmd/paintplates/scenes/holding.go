package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// What the sitters hold, placed for their portraits.

func withWindlass() []light.Thing {
	h := Hand{Curl: [4]float64{58, 62, 62, 62}, Thumb: 66, Spread: 3, Age: 0.6, Cuff: 0.10, Seed: 211, At: v(-4, -35.5, 13.5), Turn: vec.Turned(0, 0, 38).After(vec.Turned(-150, -20, 0))}
	return append(h.things(), placed("windlass", windlass(), iron(212), v(-3.5, -42, 10.5), vec.Turned(0, 0, 24).After(vec.Turned(-100, 0, 0)), v(0, 15, 5), v(5, 20, 10), 160))
}

func withFiddle() []light.Thing {
	s, m := fiddle()
	h := Hand{Curl: [4]float64{50, 56, 58, 58}, Thumb: 60, Spread: 3, Cuff: 0.09, Seed: 213, At: v(-9, -28, 12), Turn: vec.Turned(0, 0, 66).After(vec.Turned(-150, -25, 0))}
	return append(h.things(), placed("fiddle", s, m, v(-20, -39, 6), vec.Turned(0, 0, 5).After(vec.Turned(-38, 0, 0)), v(0, 12, 0), v(13, 33, 6), 210))
}

func withBell() []light.Thing {
	s, m := bell()
	h := Hand{Curl: [4]float64{18, 20, 22, 24}, Thumb: 24, Spread: 7, Broad: 1.2, Age: 1, Cuff: 0.44, Seed: 215, At: v(-5, -30, 18), Turn: vec.Turned(0, 0, -78).After(vec.Turned(160, -18, 0))}
	return append(h.things(), placed("bell", s, m, v(11, -48, 14), vec.Turned(10, 0, 0), v(0, 11, 0), v(13, 14, 13), 150))
}

func withBasket() []light.Thing {
	s, m := basket(13, 15, 4, 217)
	var ends []f.SDF
	for i := range 15 { // stakes not yet laid down
		a := 2 * math.Pi * float64(i) / 15
		ends = append(ends, f.Rod(v(17*math.Sin(a), 14, 17*math.Cos(a)), v((19.5+2*noise.Unit(5, int64(i), 0, 0))*math.Sin(a+0.1), 25+5*noise.Unit(5, int64(i), 1, 0), (19.5)*math.Cos(a+0.1)), 0.38, 0.25))
	}
	r := Hand{Curl: [4]float64{46, 52, 54, 54}, Thumb: 40, Spread: 5, Age: 1, Cuff: 0.6, Seed: 218, At: v(-16, -39, 25), Turn: vec.Turned(0, 0, -60).After(vec.Turned(150, -24, 0))}
	t := r.things()
	return append(t, placed("basket", f.Union(s, f.Union(ends...)), m, v(3, -53, 17), vec.Turned(0, 6, -4), v(0, 15, 0), v(24, 18, 24), 190))
}

func withRope() []light.Thing {
	var path []vec.V
	for i := range 4*26 + 1 {
		a := float64(i) / 26 * 2 * math.Pi
		k := a / (2 * math.Pi)
		w := 1.2 * noise.Plane(221, k*1.7, 0.4)
		path = append(path, v((15.5+w+0.5*k)*math.Cos(a), (24+w)*math.Sin(a), (9.5+0.6*k)*math.Sin(a+0.35*k)+1.4*noise.Plane(222, k*2.1, 3)))
	}
	return []light.Thing{placed("rope", rope(path, 1.25), hemp(0.34, 223), v(-9, -36, -1), vec.Turned(-30, 0, -22), vec.V{}, v(21, 29, 17), 220)}
}

func withConcertina() []light.Thing {
	s, m := concertina(9)
	r := Hand{Curl: [4]float64{40, 46, 48, 50}, Thumb: 30, Spread: 4, Age: 0.3, Cuff: 0.64, Seed: 225, At: v(-19, -45, 15), Turn: vec.Turned(0, 0, -58).After(vec.Turned(118, -14, 0))}
	l := Hand{Curl: [4]float64{40, 46, 48, 50}, Thumb: 30, Spread: 4, Left: true, Age: 0.3, Cuff: 0.64, Seed: 226, At: v(21, -45, 15), Turn: vec.Turned(0, 0, 58).After(vec.Turned(-118, -14, 0))}
	t := append(r.things(), l.things()...)
	return append(t, placed("concertina", s, m, v(1, -37, 16), vec.Turned(8, 0, 0), vec.V{}, v(12, 9, 9), 150))
}

// thrownVeil is bee gauze lying back over the brim and hanging to the shoulders behind.
func thrownVeil() light.Thing {
	head := pose{v(0, 0, 0), vec.Turned(-34, 4, 0)}
	s := func(p vec.V) float64 {
		q := head.turn.Undo(p)
		a := math.Atan2(q.X, q.Z+1)
		n := 0.9*math.Sin(9*a+0.2*q.Y) + 0.7*noise.Cloud3(231, a*2, q.Y*0.12, 0, 2)
		r := 20.2 - 0.20*max(0, 4-q.Y) + n*between(4, -14, q.Y)
		side := math.Abs(math.Hypot(q.X, q.Z+1)-r) - 0.12
		front := q.Z + 5
		return max(side*0.6, max(max(q.Y-5.5, -24-2*math.Sin(4*a)-q.Y), front))
	}
	t := thing("veil", s, v(0, -10, 0), v(26, 18, 26), 120, func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.42, Soft: 1}
	})
	t.Veil = 0.6
	return t
}
