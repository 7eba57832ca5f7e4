package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// placed puts a solid with its own coordinates into the scene.
func placed(name string, s f.SDF, m func(p, n vec.V) light.Surface, at vec.V, t vec.Turn, c, half vec.V, cells int) light.Thing {
	q := pose{at, t}
	r := half.Len()
	box := v(r, r, r)
	if t == vec.Still {
		box = half
	}
	return thing(name, q.solid(s), at.Add(t.Apply(c)), box, cells, q.skin(m))
}

// bloom is a daisy-like flower head: petals round a dark eye, facing n.
func bloom(at, n vec.V, r float64, seed uint64) light.Thing {
	n = n.Norm()
	u := n.Cross(v(0.2, 1, 0.1)).Norm()
	w := n.Cross(u)
	s := func(p vec.V) float64 {
		q := p.Sub(at)
		x, y, z := q.Dot(u), q.Dot(w), q.Dot(n)
		rad, a := math.Hypot(x, y), math.Atan2(y, x)
		petal := math.Abs(math.Mod(a+math.Pi, 2*math.Pi/17) - math.Pi/17)
		droop := 0.10 * rad * rad / r * (1 + 0.6*noise.Plane(seed, a*2, 0))
		width := rad*petal - 0.30*math.Sin(math.Pi*min(1, rad/r))
		leaf := max(max(width, rad-r*(1+0.12*noise.Plane(seed+1, a*4, 1))), math.Abs(z+droop)-0.07)
		eye := f.Egg(vec.V{}, v(0.26*r, 0.26*r, 0.2*r))(v(x, y, z-0.05*r))
		return min(leaf*0.6, eye)
	}
	return thing("flower", s, at, v(r*1.3, r*1.3, r*1.3), 70, func(p, _ vec.V) light.Surface {
		if p.Sub(at).Len() < 0.30*r {
			return light.Surface{Albedo: 0.06, Tilt: v(noise.Value(seed, p.X*9, p.Y*9, p.Z*9), noise.Value(seed+3, p.X*9, p.Y*9, p.Z*9), 0).Mul(0.5)}
		}
		return light.Surface{Albedo: 0.72, Soft: 0.6}
	})
}

func stem(a, b, c vec.V, r, albedo float64) light.Thing {
	s := f.Union(f.Rod(a, b, r, r*0.9), f.Rod(b, c, r*0.9, r*0.7))
	lo := v(min(a.X, b.X, c.X), min(a.Y, b.Y, c.Y), min(a.Z, b.Z, c.Z))
	hi := v(max(a.X, b.X, c.X), max(a.Y, b.Y, c.Y), max(a.Z, b.Z, c.Z))
	return thing("stem", s, lo.Lerp(hi, 0.5), hi.Sub(lo).Mul(0.5).Add(v(0.6, 0.6, 0.6)), 70, light.Plain(albedo))
}

// bouquet is stems with a flower each, out of a mouth at top.
func bouquet(top vec.V, n int, spread, high, r float64, seed uint64) []light.Thing {
	src := noise.NewSource(seed)
	var out []light.Thing
	for i := range n {
		a := 2 * math.Pi * (float64(i)/float64(n) + 0.06*src.Next())
		k := math.Sqrt(0.15 + 0.85*src.Next())
		end := top.Add(v(spread*k*math.Sin(a), high*(1.05-0.45*k)+3*src.Next(), 0.7*spread*k*math.Cos(a)))
		mid := top.Lerp(end, 0.5).Add(v(0, 2.5, 0))
		out = append(out, stem(top.Add(v(0, -4, 0)), mid, end, 0.22, 0.10), bloom(end, v(math.Sin(a)*0.7, 0.55, 0.9+0.4*math.Cos(a)), r*(0.8+0.4*src.Next()), seed+uint64(i)*9))
	}
	return out
}

func candle(at vec.V) []light.Thing {
	stick := turned("candlestick", at, [][2]float64{{0, 0}, {5.4, 0}, {5.6, 0.6}, {2.2, 1.6}, {1.1, 3}, {1.6, 5.2}, {0.9, 6.4}, {1.0, 11}, {2.4, 12.2}, {2.4, 12.8}, {1.2, 13.2}, {0, 13.2}}, 0.1, brass(33))
	wax := f.Melt(0.4, f.Drum(at.Add(v(0, 17.5, 0)), 1.1, 4.6, 0.4), f.Rod(at.Add(v(1.0, 20, 0.3)), at.Add(v(1.25, 15, 0.3)), 0.35, 0.5), f.Rod(at.Add(v(0, 22, 0)), at.Add(v(0.2, 23.6, 0)), 0.13, 0.1))
	return []light.Thing{stick, thing("wax", wax, at.Add(v(0, 18, 0)), v(2.4, 6.4, 2.4), 60, func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: 0.62, Soft: 0.9, Gloss: 0.3, Sharp: 14}
	})}
}

var stills = map[string]func() *light.Scene{
	"windlass-and-lamp": func() *light.Scene {
		t := append(lamp(v(9, 0.5, -5), 34),
			drape(v(0, 0, 5), 24, 13, 2.0, 0.42, 5),
			placed("windlass", windlass(), iron(35), v(-15, 2.6, 7), vec.Turned(0, 0, -74).After(vec.Turned(0, 12, 0)), v(0, 15, 5), v(5, 20, 10), 150),
			placed("rope", f.Placed(rope(coil(3, 7.5, 1.0, 6), 0.95), v(0, 0, 0), vec.Turned(0, 90, 0)), hemp(0.32, 36), v(-13, 2.6, -5), vec.Still, v(0, 1, 0), v(11, 6, 12), 130))
		return setting("north skylight", -1, 0.16, 0.12, 44, v(-1, 10.5, 0), t...)
	},
	"skep-and-smoker": func() *light.Scene {
		can := f.Union(f.Drum(v(0, 7, 0), 4.6, 7, 0.3), f.Ring(v(0, 13.8, 0), 4.6, 0.3), f.Rod(v(0, 14.4, 0), v(-4.6, 18.6, 0), 4.3, 0.9))
		bell := f.Union(f.Box(v(8.6, 7, 0), v(0.5, 6.2, 4.6), 0.2), f.Placed(f.Box(vec.V{}, v(0.5, 6.2, 4.6), 0.2), v(11.6, 7.4, 0), vec.Turned(0, 0, -14)), f.Rough(f.Box(v(10.2, 7, 0), v(1.6, 5.4, 4.0), 0.3), 0.7, func(p vec.V) float64 { return 0.4 * math.Sin(p.X*4.5) }), f.Rod(v(4, 4, 0), v(8.6, 4, 0), 0.8, 0.8))
		jar := turned("jar", v(27, 0, 9), [][2]float64{{0, 0}, {4.8, 0}, {5.0, 0.8}, {5.0, 9.6}, {4.2, 10.8}, {4.2, 11.4}, {0, 11.4}}, 0.15, light.Shiny(0.05, 1.5, 90))
		lid := turned("cloth lid", v(27, 11.6, 9), [][2]float64{{0, -0.4}, {5.2, -1.6}, {5.4, -1.4}, {4.4, 0.4}, {0, 0.7}}, 0.1, cloth(0.66, 44))
		return setting("open shade", -1, 0.2, 0.14, 62, v(2, 16, 0), skep(v(-9, 0, -5), 35, 19.5, 3),
			placed("smoker", f.Union(can, bell), func(p, n vec.V) light.Surface {
				r := iron(45)(p, n)
				r.Albedo = 0.30
				if p.X > 9 && p.X < 11 {
					r = light.Surface{Albedo: 0.05, Gloss: 0.3, Sharp: 9}
				}
				return r
			}, v(17, 0, -2), vec.Turned(18, 0, 0), v(3, 9, 0), v(13, 12, 8), 120), jar, lid)
	},
	"fiddle-on-cloth": func() *light.Scene {
		s, m := fiddle()
		glue := turned("glue pot", v(25, 0, -7), [][2]float64{{0, 0}, {5.4, 0}, {6.2, 3}, {6.0, 7.6}, {6.6, 8.6}, {6.2, 8.8}, {5.4, 8}, {5.4, 3}, {0, 2.4}}, 0.15, iron(46))
		brush := f.Union(f.Rod(v(0, 0, 0), v(0, 13, 0), 0.5, 0.75), f.Rod(v(0, 0, 0), v(0, -4, 0), 0.85, 0.6))
		return setting("north skylight", -1, 0.13, 0.08, 56, v(2, 6, 0), drape(v(-2, 0, 2), 34, 16, 3.2, 0.05, 7),
			placed("fiddle", s, m, v(-8, 5.2, 4), vec.Turned(0, -52, 0).After(vec.Turned(0, 0, -74)), v(0, 12, 0), v(13, 33, 6), 200),
			glue, placed("brush", brush, timber(0.4, 47), v(27.5, 9.5, -7), vec.Turned(0, 8, -38), v(0, 4, 0), v(3, 11, 3), 80))
	},
	"ships-bell": func() *light.Scene {
		s, m := bell()
		mallet := f.Union(f.Placed(f.Drum(vec.V{}, 4.0, 6.2, 0.5), v(0, 0, 0), vec.Turned(0, 0, 90)), f.Rod(v(0, 0, 0), v(0, 2, 26), 1.15, 1.3))
		return setting("lamp bank", -1, 0.17, 0.13, 44, v(1, 12, 0),
			placed("bell", s, m, v(-4, 0.3, -4), vec.Still, v(0, 11, 0), v(13, 13, 13), 150),
			placed("mallet", mallet, timber(0.22, 48), v(14, 4.1, -2), vec.Turned(-38, 0, 0), v(0, 0, 10), v(8, 6, 18), 110),
			placed("cord", f.Placed(rope(coil(3, 4.6, 0.7, 9), 0.5), vec.V{}, vec.Turned(0, 90, 0)), hemp(0.45, 49), v(-15, 1.0, 10), vec.Still, v(0, 1, 0), v(7, 5, 8), 110))
	},
	"willow-baskets": func() *light.Scene {
		a, ma := basket(12, 15, 3.5, 3)
		b, mb := basket(9.5, 12, 2.6, 4)
		t := []light.Thing{
			placed("basket", a, ma, v(-13, 0.4, -6), vec.Still, v(0, 8, 0), v(18, 10, 18), 170),
			placed("basket", b, mb, v(13, 10.6, -4), vec.Turned(0, 0, 0).After(vec.Turned(38, 78, 0)), v(0, 6, 0), v(13, 9, 13), 150),
		}
		for i, p := range []vec.V{v(17, 0, 11), v(10, 0, 14), v(24, 0, 9), v(3, 0, 12), v(14, 6.4, 12), v(-2, 0, 17)} {
			t = append(t, fruit(p, 3.9+0.4*noise.Unit(5, int64(i), 0, 0), 0.16+0.05*noise.Unit(5, int64(i), 1, 0), uint64(60+i)))
		}
		return setting("open shade", -1, 0.2, 0.14, 58, v(3, 11, 0), t...)
	},
	"bottles-and-books": func() *light.Scene {
		t := append(candle(v(27, 0, 6)), bottle(v(-22, 0, 0), 29, 5), bottle(v(-10, 0, -6), 34, 4.8), bottle(v(-13, 0, 8), 19, 4.2),
			book(v(9, 0, 0), 23, 4.4, 16, 10, 0.10, 3), book(v(8, 4.4, -0.5), 21, 3.2, 15, -9, 0.26, 4), book(v(9.5, 7.6, 0), 18.5, 3.8, 13, 17, 0.06, 5), fruit(v(4, 0, 15), 3.6, 0.3, 77))
		return setting("north skylight", -1, 0.18, 0.14, 47, v(1, 13.5, 0), t...)
	},
	"concertina": func() *light.Scene {
		s, m := concertina(17)
		return setting("north skylight", -1, 0.19, 0.12, 40, v(0, 7, 0),
			placed("concertina", s, m, v(-1, 8.0, 0), vec.Turned(-28, 0, 0), v(0, 0, 0), v(15, 9, 9), 190),
			drape(v(14, 0, 14), 14, 8, 1.6, 0.5, 8))
	},
	"bellows-camera": func() *light.Scene {
		s, m := camera()
		dark := f.Rough(f.Melt(2, f.Box(v(0, 25, -14), v(14.6, 6.0, 5.2), 2.2), f.Box(v(2, 17, -18), v(13.4, 14, 2.6), 2), f.Box(v(-12.6, 18, -15), v(2.6, 11, 4.2), 2)), 0.55, func(p vec.V) float64 {
			n := noise.Cloud3(66, p.X*0.12, p.Y*0.05, p.Z*0.12, 3)
			hang := between(29, 18, p.Y)
			return 0.9*n + hang*0.9*math.Sin(0.75*p.X+0.9*p.Z+3*n)
		})
		return setting("lamp bank", -1, 0.17, 0.12, 58, v(0, 15.5, 0),
			placed("camera", s, m, v(1, 0.2, 0), vec.Turned(-36, 0, 0), v(0, 15, 0), v(17, 17, 24), 200),
			placed("dark cloth", dark, cloth(0.05, 67), v(1, 0.2, 0), vec.Turned(-36, 0, 0), v(0, 18, -14), v(18, 18, 11), 130),
			placed("holder", f.Union(f.Box(v(0, 0, 0), v(7, 9, 0.7), 0.2), f.Box(v(0, 9.6, 0), v(2, 0.9, 0.4), 0.2)), timber(0.14, 68), v(25, 8.6, 2), vec.Turned(-20, -14, 0), vec.V{}, v(9, 12, 4), 90))
	},
	"visitors-jug": func() *light.Scene {
		jug := f.Turned(v(0, 0, 0), [][2]float64{{0, 0}, {5.2, 0}, {6.6, 3}, {7.2, 7}, {6.2, 11.5}, {4.2, 14.2}, {4.0, 16.4}, {4.7, 17.8}, {4.2, 17.9}, {3.5, 16}, {0, 15}}, 0)
		handle := f.Placed(f.Ring(vec.V{}, 4.4, 0.8), v(7.6, 10.5, 0), vec.Turned(0, 90, 0))
		s := f.Melt(0.6, func(p vec.V) float64 { return jug(p) - 0.2 }, f.Carve(0.3, handle, f.Drum(v(0, 9, 0), 5.5, 8, 1)))
		glaze := func(p, n vec.V) light.Surface {
			a := 0.30
			if p.Y > 12+0.6*noise.Value(71, p.X*0.6, 0, p.Z*0.6) {
				a = 0.14
			}
			return light.Surface{Albedo: a * (1 + 0.25*noise.Cloud3(70, p.X*0.8, p.Y*0.8, p.Z*0.8, 3)), Gloss: 0.8, Sharp: 45}
		}
		t := append(bouquet(v(-1, 16, 0), 13, 13, 17, 3.1, 72), placed("jug", s, glaze, v(-1, 0, 0), vec.Turned(20, 0, 0), v(1, 9, 0), v(14, 11, 9), 120))
		return setting("lamp bank", -1, 0.18, 0.08, 50, v(0, 19, 0), t...)
	},
	"seedheads": func() *light.Scene {
		src := noise.NewSource(81)
		var t []light.Thing
		mouth := v(0, 19, 0)
		for i := range 6 { // teasels
			end := v(src.Between(-13, 13), src.Between(34, 47), src.Between(-5, 5))
			t = append(t, stem(mouth.Add(v(0, -14, 0)), mouth.Lerp(end, 0.45).Add(v(0, 1.5, 0)), end, 0.26, 0.2))
			h := f.Rough(f.Egg(end.Add(v(0, 1.6, 0)), v(1.7, 3.2, 1.7)), 0.5, func(p vec.V) float64 {
				q := p.Sub(end)
				return 0.34 * math.Abs(math.Sin(9*math.Atan2(q.X, q.Z)+3.4*q.Y)*math.Sin(9*math.Atan2(q.X, q.Z)-3.4*q.Y))
			})
			spikes := []f.SDF{h}
			for k := range 7 {
				a := float64(k) * 2 * math.Pi / 7
				spikes = append(spikes, f.Rod(end.Add(v(0, -1.4, 0)), end.Add(v(3.2*math.Sin(a), 2.6, 3.2*math.Cos(a))), 0.16, 0.05))
			}
			t = append(t, thing("teasel", f.Union(spikes...), end.Add(v(0, 1.5, 0)), v(4, 5, 4), 70, light.Plain(0.22+0.02*float64(i))))
		}
		for i := range 5 { // honesty: paper discs on a branch
			end := v(src.Between(-15, 15), src.Between(26, 41), src.Between(0, 7))
			t = append(t, stem(mouth.Add(v(0, -12, 0)), mouth.Lerp(end, 0.5), end, 0.2, 0.25))
			var discs []f.SDF
			for k := range 5 {
				c := end.Add(v(src.Between(-4, 4), -float64(k)*2.4+src.Between(-1, 1)+2, src.Between(-2, 2)))
				tn := vec.Turned(src.Between(-50, 50), src.Between(50, 120), 0)
				discs = append(discs, f.Placed(f.Common(0.02, f.Egg(vec.V{}, v(1.9, 0.5, 2.3)), f.Box(vec.V{}, v(3, 0.06, 3), 0)), c, tn))
			}
			t = append(t, thing("honesty", f.Union(discs...), end.Add(v(0, -2.5, 0)), v(8, 10, 6), 110, func(p, n vec.V) light.Surface {
				return light.Surface{Albedo: 0.66 + 0.02*float64(i), Soft: 0.9, Gloss: 0.5, Sharp: 12}
			}))
		}
		t = append(t, bottle(v(0, 0, 0), 22, 5.2))
		return setting("open shade", -1, 0.18, 0.05, 58, v(0, 24, 0), t...)
	},
	"quinces": func() *light.Scene {
		blade := f.Common(0.05, f.Box(v(0, 0, 0), v(7.5, 0.09, 1.3), 0.05), f.Egg(v(-3, 0, -1), v(11, 2, 2.6)))
		knife := f.Union(blade, f.Rod(v(7.6, 0, 0), v(16, 0, 0.4), 0.8, 1.0))
		return setting("north skylight", -1, 0.2, 0.11, 32, v(1, 5.5, 0), fruit(v(-9, 0.8, 0), 4.7, 0.34, 3), fruit(v(1.5, 0.8, -4), 5.0, 0.36, 4), fruit(v(6, 0.8, 5), 4.3, 0.33, 5),
			thing("board", f.Drum(v(-1, 0.3, 1), 16.5, 0.6, 0.3), v(-1, 0.3, 1), v(18, 2, 18), 90, timber(0.3, 82)), drape(v(20, 0, -6), 9, 10, 2.6, 0.6, 83),
			placed("knife", knife, func(p, n vec.V) light.Surface {
				if p.X > 7.4 {
					return timber(0.08, 84)(p, n)
				}
				return light.Surface{Albedo: 0.3, Gloss: 1.5, Sharp: 50, Mirror: 0.3}
			}, v(-4, 1.9, 11), vec.Turned(-14, 0, 0), v(4, 0, 0), v(14, 2, 4), 100))
	},
	"mooring-lamp": func() *light.Scene {
		t := append(lamp(v(-3, 0.2, -2), 85), placed("rope", f.Placed(rope(coil(4, 8, 1.4, 16), 1.0), vec.V{}, vec.Turned(0, 90, 0)), hemp(0.28, 86), v(10, 1.2, 7), vec.Still, v(0, 2, 0), v(12, 7, 13), 140))
		return setting("north skylight", -1, 0.17, 0.09, 42, v(1, 11, 0), t...)
	},
	"hands-with-bow": func() *light.Scene {
		s, m := bow()
		b := newBody(0.2, 0.6, 91)
		ap := b.apron(0.06)
		q := pose{v(0, 45, -24), vec.Still}
		r := Hand{Curl: [4]float64{48, 54, 56, 58}, Thumb: 62, Spread: 3, Cuff: 0.5, Seed: 92, At: v(-19, -9, 6), Turn: vec.Turned(0, 0, -62).After(vec.Turned(150, -30, 0))}
		l := Hand{Curl: [4]float64{38, 46, 50, 52}, Thumb: 55, Spread: 4, Left: true, Cuff: 0.5, Seed: 93, At: v(20, -11, 8), Turn: vec.Turned(0, 0, 58).After(vec.Turned(-150, -30, 0))}
		t := append(r.things(), l.things()...)
		t = append(t, placed("bow", s, m, v(0, -2, 12), vec.Turned(0, 0, 84).After(vec.Turned(200, 0, 0)), v(0, 0, 1), v(4, 37, 4), 200),
			thing("apron", q.solid(ap.solid), v(0, 3, -24), v(34, 34, 24), 110, q.skin(ap.skin)), thing("shirt", q.solid(b.layer(0, 0.5)), v(0, 3, -24), v(34, 34, 24), 100, cloth(0.45, 94)))
		return handsScene("north skylight", 40, t)
	},
	"casper-hands": func() *light.Scene {
		s, m := bell()
		r := Hand{Curl: [4]float64{16, 18, 20, 22}, Thumb: 18, Spread: 7, Broad: 1, Age: 1, Cuff: 0.4, Seed: 95, At: v(-14.5, -5.5, 9), Turn: vec.Turned(0, 0, -60).After(vec.Turned(152, -14, 0))}
		l := Hand{Curl: [4]float64{14, 16, 20, 24}, Thumb: 16, Spread: 8, Left: true, Broad: 1, Age: 1, Cuff: 0.4, Seed: 96, At: v(13.5, -1.5, 8.5), Turn: vec.Turned(0, 0, 70).After(vec.Turned(-152, -14, 0))}
		t := append(r.things(), l.things()...)
		t = append(t, placed("bell", s, m, v(0, -12, 0), vec.Still, v(0, 11, 0), v(13, 13, 13), 150))
		return handsScene("lamp bank", 44, append(t, thing("table", f.Box(v(0, -15.2, 0), v(90, 3, 40), 0.4), v(0, -15, 0), v(91, 4, 41), 80, timber(0.15, 97))))
	},
	"gundred-hands": func() *light.Scene {
		var line []vec.V
		for i := range 41 {
			x := float64(i-20) * 1.6
			line = append(line, v(x, 1.6*math.Sin(x*0.13)-0.004*x*x, 9+0.8*math.Cos(x*0.2)))
		}
		tail := []vec.V{v(6, 0, 10), v(8, 3, 13), v(7, 6.5, 14.5), v(3, 8.5, 14), v(0, 8, 12.5)}
		r := Hand{Curl: [4]float64{52, 56, 58, 60}, Thumb: 66, Spread: 3, Broad: 0.5, Age: 0.5, Cuff: 0.14, Seed: 98, At: v(-17, -10, 3), Turn: vec.Turned(0, 0, -50).After(vec.Turned(158, -24, 0))}
		l := Hand{Curl: [4]float64{44, 50, 54, 56}, Thumb: 58, Spread: 3, Left: true, Broad: 0.5, Age: 0.5, Cuff: 0.14, Seed: 99, At: v(19, -11, 3), Turn: vec.Turned(0, 0, 48).After(vec.Turned(-160, -24, 0))}
		t := append(r.things(), l.things()...)
		t = append(t, thing("rope", rope(line, 2.0), v(0, 0, 9), v(35, 6, 5), 200, hemp(0.30, 100)), thing("tail", rope(tail, 1.1), v(4, 4, 12), v(8, 7, 5), 110, hemp(0.34, 101)))
		b := newBody(0.6, 0.6, 102)
		j := b.jersey(0.07)
		q := pose{v(0, 45, -24), vec.Still}
		t = append(t, thing("jersey", q.solid(j.solid), v(0, 3, -24), v(34, 34, 24), 110, q.skin(j.skin)))
		return handsScene("north skylight", 42, t)
	},
	"navigation-plan": plan,
}

// handsScene frames hands close.
func handsScene(kind string, height float64, t []light.Thing) *light.Scene {
	w, room := studioLight(kind, -1)
	return &light.Scene{Things: append(t, wall(-60, 0.10, 14)), Windows: w, Room: room, Far: 500,
		Cam: light.Camera{Eye: v(0, 22, 160), Aim: v(0, -1, 6), Height: height, Focus: v(0, 0, 12), Iris: 1.5}}
}

// plan is a pen drawing of a canal pinned to a board, copied square on.
func plan() *light.Scene {
	course := func(x float64) float64 { return 5*math.Sin(x*0.14) + 2.2*math.Sin(x*0.37+1) }
	paper := f.Box(v(0, 0, 0), v(30, 22, 0.1), 0)
	return &light.Scene{
		Things: []light.Thing{
			thing("paper", paper, v(0, 0, 0), v(31, 23, 1), 60, func(p, n vec.V) light.Surface {
				a := 0.62 * (1 + 0.12*noise.Cloud3(5, p.X*0.15, p.Y*0.15, 0, 4))
				if math.Abs(math.Mod(p.X+100, 15)-7.5) < 0.12 || math.Abs(p.Y) < 0.12 {
					a *= 0.85 // folds
				}
				ink := func(d, w float64) { a *= 1 - 0.85*between(w, w*0.5, math.Abs(d)) }
				d := (p.Y - course(p.X)) * 0.8
				ink(d-0.75, 0.14)
				ink(d+0.75, 0.14)
				if math.Abs(p.X) < 27 {
					for k := -4; k <= 4; k++ { // locks across it
						x := float64(k)*6 + 1.5*noise.Unit(6, int64(k), 0, 0)
						if math.Abs(d) < 1.9 {
							ink(p.X-x, 0.16)
							ink(p.X-x-0.6-0.4*math.Abs(d), 0.12)
						}
						if p.Y > course(x)+2.4 && p.Y < course(x)+3.0 {
							u := (p.X - x + 2.5) / 0.35
							if u > 0 && u < 14 && noise.Unit(7, int64(u), int64(k), 0) < 0.6 {
								ink(math.Mod(p.Y+50, 0.6)-0.3, 0.28)
							}
						}
					}
				}
				for k := range 4 { // hachured hills
					cx, cy := -18+13*float64(k), 12.5*math.Copysign(1, math.Sin(float64(k)*2.3))
					r, t := math.Hypot(p.X-cx, (p.Y-cy)*1.4), math.Atan2(p.Y-cy, p.X-cx)
					if r > 2 && r < 4.2+0.5*math.Sin(2*t+float64(k)) {
						ink(math.Mod(t*9+60, 1)-0.5, 0.16)
					}
				}
				frame := max(math.Abs(p.X)-28, math.Abs(p.Y)-20)
				ink(frame, 0.14)
				ink(frame+0.6, 0.08)
				if p.X > 13 && p.X < 26.5 && p.Y < -12.5 && p.Y > -18 { // title block
					line := math.Floor((p.Y + 18) / 1.4)
					u := int64((p.X - 13) / 0.42)
					if line > 0 && line < 4 && noise.Unit(9, u, int64(line), 0) < 0.68 {
						ink(math.Mod(p.Y+60, 1.4)-0.7, 0.34)
					}
				}
				return light.Surface{Albedo: a}
			}),
			thing("pins", f.Union(f.Ball(v(29, 21, 0.3), 0.5), f.Ball(v(-29, 21, 0.3), 0.5), f.Ball(v(29, -21, 0.3), 0.5), f.Ball(v(-29, -21, 0.3), 0.5)), vec.V{}, v(30, 22, 1), 60, brass(7)),
			wall(-0.6, 0.2, 15),
		},
		Windows: []light.Window{window(-45, 20, 160, 50, 50, 0.9), window(45, 20, 160, 50, 50, 0.7)}, Room: light.Even(0.15), Far: 500,
		Cam: light.Camera{Eye: v(0, 0, 200), Aim: v(0.3, 0, 0), Height: 47, Iris: 0.2},
	}
}
