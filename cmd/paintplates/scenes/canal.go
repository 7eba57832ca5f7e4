package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// outdoors puts things under an overcast sky whose brighter part is to the left behind the camera.
func outdoors(cam light.Camera, haze, level float64, seed uint64, things ...light.Thing) *light.Scene {
	back := sky(seed)
	return &light.Scene{
		Things: things, Far: 2600, Haze: haze, Cam: cam,
		Windows: []light.Window{window(-34, 48, 1500, 420, 340, 0.72*level)},
		Room:    light.Dome(0.36*level, 0.04*level), Back: func(d vec.V) float64 { return level * back(d) },
	}
}

// boards is tarred or bleached planking, upright.
func boards(albedo, wide float64, seed uint64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		k := math.Floor((p.X + 500) / wide)
		a := albedo * (0.7 + 0.6*noise.Unit(seed, int64(k), 0, 0)) * (1 + 0.35*noise.Cloud3(seed, p.X*0.9, p.Y*0.07, p.Z*0.9, 3))
		if math.Abs(math.Mod(p.X+500, wide)-wide/2) > wide/2-0.22 {
			a *= 0.3
		}
		return light.Surface{Albedo: a, Gloss: 0.2, Sharp: 10}
	}
}

// stone is dressed blocks with a pale coping.
func stone(albedo, top float64, seed uint64) light.Material {
	return func(p, n vec.V) light.Surface {
		u := p.X
		if math.Abs(n.X) > 0.6 {
			u = p.Z
		}
		row := math.Floor(p.Y / 4)
		shift := 4.5 * math.Mod(math.Abs(row), 2)
		k := noise.Unit(seed, int64(math.Floor((u+900+shift)/9)), int64(row), 2)
		a := albedo * (0.86 + 0.28*k) * (1 + 0.4*noise.Cloud3(seed, p.X*0.08, p.Y*0.12, p.Z*0.08, 4))
		if math.Mod(u+900+shift, 9) < 0.35 || math.Mod(p.Y+400, 4) < 0.32 {
			a *= 0.66
		}
		wet := between(6, -2, p.Y-(top-40)) // weed and wet below
		a *= 1 - 0.35*wet
		if p.Y > top-3 || n.Y > 0.7 {
			a = albedo * 1.5 * (1 + 0.3*noise.Cloud3(seed+3, p.X*0.2, p.Y*0.2, p.Z*0.2, 3))
		}
		return light.Surface{Albedo: a}
	}
}

// gates is a pair of mitred leaves w wide each and h high, with balance beams, its sill at the origin.
func gates(at vec.V, w, h float64, spill bool, seed uint64) []light.Thing {
	leaf := func(side float64) f.SDF {
		t := vec.Turned(-16*side, 0, 0)
		hinge := v(side*w*0.96, 0, 0)
		var rails []f.SDF
		rails = append(rails, f.Box(v(-side*w/2, h/2, -0.4), v(w/2, h/2, 0.7), 0.1))
		for i := range 5 {
			rails = append(rails, f.Box(v(-side*w/2, 3+float64(i)*(h-6)/4, 0.9), v(w/2, 1.5, 1.1), 0.2))
		}
		rails = append(rails, f.Box(v(0, h/2, 0.6), v(1.8, h/2+1, 1.5), 0.3), f.Box(v(-side*w, h/2, 0.6), v(1.4, h/2+1, 1.4), 0.3))
		beam := f.Box(v(side*w*0.55, h+3.2, 0.4), v(w*1.35, 1.9, 1.9), 0.4)
		gear := f.Union(f.Box(v(-side*w*0.55, h+5, 0.6), v(1.1, 5, 0.9), 0.2), f.Placed(f.Drum(vec.V{}, 1.9, 0.5, 0.1), v(-side*w*0.55, h+8, 1.9), vec.Turned(0, 90, 0)))
		return f.Placed(f.Union(f.Union(rails...), beam, gear), hinge, t)
	}
	s := f.Union(leaf(-1), leaf(1))
	plank := boards(0.10, 2.4, seed)
	out := []light.Thing{placed("gates", s, func(p, n vec.V) light.Surface {
		r := plank(p, n)
		if p.Y > h+0.9 && math.Abs(p.X) > w*2.05 {
			r.Albedo = 0.75 // ends of the beams are painted white
		}
		if p.Y < h*0.45 {
			r.Albedo *= 0.6
			r.Gloss, r.Sharp = 0.8, 25
		}
		return r
	}, at, vec.Still, v(0, h/2+4, 2), v(w*3, h/2+10, w), 220)}
	if spill {
		jet := f.Rough(f.Union(f.Box(v(0.3, h*0.30, 5), v(0.8, h*0.34, 0.5), 0.4), f.Box(v(-6.5, h*0.2, 3.5), v(0.5, h*0.22, 0.4), 0.3), f.Egg(v(0, -0.5, 7), v(9, 1.6, 4))), 0.6, func(p vec.V) float64 {
			return 0.5 * noise.Cloud3(seed+8, p.X*0.7, p.Y*0.15, p.Z*0.7, 3)
		})
		out = append(out, placed("spill", jet, light.Plain(0.8), at, vec.Still, v(0, h*0.3, 4), v(12, h*0.4, 9), 110))
	}
	return out
}

func block(name string, c, h vec.V, m light.Material, cells int) light.Thing {
	return thing(name, f.Box(c, h, 0.5), c, h.Add(v(1, 1, 1)), cells, m)
}

func grass(albedo float64, seed uint64) light.Material {
	return func(p, n vec.V) light.Surface {
		return light.Surface{Albedo: albedo * (1 + 0.6*noise.Cloud3(seed, p.X*0.25, p.Y*0.6, p.Z*0.12, 4)), Tilt: v(noise.Value(seed, p.X*1.5, p.Y, p.Z), 0.3, noise.Value(seed+1, p.X*1.5, p.Y, p.Z)).Mul(0.3)}
	}
}

// bank is a grassy rise.
func bank(c, h vec.V, seed uint64) light.Thing {
	s := f.Rough(f.Egg(c, h), 0.7, func(p vec.V) float64 { return 2.5 * noise.Cloud3(seed, p.X*0.03, p.Y*0.03, p.Z*0.03, 3) })
	return thing("bank", s, c, h.Add(v(4, 4, 4)), 90, grass(0.13, seed))
}

// bare is a leafless tree: limbs that fork.
func bare(at vec.V, h float64, seed uint64) light.Thing {
	src := noise.NewSource(seed)
	var limbs []f.SDF
	var grow func(p, d vec.V, l, r float64, depth int)
	grow = func(p, d vec.V, l, r float64, depth int) {
		e := p.Add(d.Mul(l))
		limbs = append(limbs, f.Rod(p, e, r, r*0.68))
		if depth == 0 {
			return
		}
		for range 2 + depth%2 {
			dd := d.Add(v(src.Between(-0.75, 0.75), src.Between(-0.1, 0.45), src.Between(-0.6, 0.6))).Norm()
			grow(e, dd, l*src.Between(0.62, 0.82), r*0.62, depth-1)
		}
	}
	grow(at, v(0, 1, 0), h*0.30, h*0.028, 4)
	return thing("tree", f.Union(limbs...), at.Add(v(0, h*0.55, 0)), v(h*0.6, h*0.65, h*0.6), 120, light.Plain(0.07))
}

// barge is a moored boat along x: long hull, cabin aft.
func barge(at vec.V, long float64, seed uint64) light.Thing {
	hull := func(p vec.V) float64 {
		t := math.Abs(p.X) / (long / 2)
		w := 9.0 * math.Sqrt(max(0, 1-math.Pow(t, 5)))
		sheer := 6.5 + 3.2*t*t*t
		return max(max((math.Abs(p.Z)-w)*0.7, p.Y-sheer), max(math.Abs(p.X)-long/2, -p.Y-6)) * 0.85
	}
	hold := f.Box(v(-long*0.06, 9, 0), v(long*0.26, 6, 6.8), 0.3)
	s := f.Union(f.Carve(0.2, hull, hold), f.Box(v(long*0.32, 9, 0), v(long*0.10, 5, 6.6), 0.8), f.Rod(v(-long*0.30, 5, 0), v(-long*0.30, 40, 0), 0.9, 0.5), f.Rod(v(long*0.44, 9, 0), v(long*0.36, 15.5, 3), 0.6, 0.5), f.Rod(v(long*0.26, 13, 3), v(long*0.26, 20, 3), 0.8, 0.8))
	return placed("barge", s, func(p, n vec.V) light.Surface {
		a := 0.06
		if p.Y > 5.0+3.2*math.Pow(math.Abs(p.X)/(long/2), 3) && p.Y < 7.2+3.2*math.Pow(math.Abs(p.X)/(long/2), 3) {
			a = 0.5
		}
		if p.X > long*0.2 && p.Y > 8 {
			a = 0.16
			if math.Abs(p.Y-10.6) < 1.5 && math.Mod(p.X+200, 8) < 3 {
				a = 0.55
			}
		}
		return light.Surface{Albedo: a * (1 + 0.3*noise.Cloud3(seed, p.X*0.15, p.Y*0.3, p.Z*0.3, 3)), Gloss: 0.4, Sharp: 14}
	}, at, vec.Still, v(0, 17, 0), v(long/2+2, 25, 12), 200)
}

// chimney, barrels and bollards make a wharf lived in.
func clutter(z, y float64, seed uint64, xs ...float64) []light.Thing {
	var out []light.Thing
	for i, x := range xs {
		switch i % 3 {
		case 0:
			out = append(out, turned("barrel", v(x, y, z), [][2]float64{{0, 0}, {3.6, 0}, {4.5, 4.5}, {3.6, 9}, {0, 9}}, 0.1, func(p, n vec.V) light.Surface {
				a := 0.20
				if h := p.Y - y; h < 1.5 || h > 7.5 || math.Abs(h-3) < 0.4 || math.Abs(h-6) < 0.4 {
					a = 0.06
				}
				return light.Surface{Albedo: a}
			}))
		case 1:
			out = append(out, turned("bollard", v(x, y, z+8), [][2]float64{{0, 0}, {2.2, 0}, {1.6, 1}, {1.5, 5}, {2.1, 6}, {1.5, 7.2}, {0, 7.4}}, 0.1, light.Shiny(0.05, 0.6, 20)))
		case 2:
			s := f.Union(f.Box(v(x, y+4, z), v(5, 4, 4), 0.2), f.Box(v(x+2, y+10.5, z-1), v(3.6, 2.6, 3), 0.2))
			out = append(out, thing("crates", s, v(x, y+7, z), v(7, 8, 6), 60, boards(0.3, 1.6, seed+uint64(i))))
		}
	}
	return out
}

var outside = map[string]func() *light.Scene{
	"ammerwick-wharf": func() *light.Scene {
		t := []light.Thing{water(-14, 3)}
		x := -165.0
		for i := range 7 {
			w := 42 + 14*noise.Unit(9, int64(i), 0, 0)
			h := 58 + 44*noise.Unit(9, int64(i), 1, 0)
			t = append(t, house(x+w/2, w-0.6, h, 1.0+0.5*noise.Unit(9, int64(i), 2, 0), -60-6*noise.Unit(9, int64(i), 3, 0), 0.11+0.24*noise.Unit(9, int64(i), 4, 0), uint64(20+i)))
			x += w
		}
		t = append(t, block("quay", v(0, -9, -70), v(260, 9, 38), stone(0.2, 0, 4), 120), barge(v(70, -14, -22), 120, 5))
		t = append(t, clutter(-44, 0, 6, -110, -92, -60, -52, 8, 22, 28)...)
		return outdoors(light.Camera{Eye: v(-40, 30, 330), Aim: v(0, 36, -60), Height: 168, Iris: 0.2}, 0.020, 1, 4, t...)
	},
	"bottom-gates": func() *light.Scene {
		t := append(gates(v(0, -8, -60), 30, 52, true, 5), water(-8, 6),
			block("left wall", v(-92, 18, -58), v(62, 27, 60), stone(0.18, 45, 7), 130), block("right wall", v(92, 18, -58), v(62, 27, 60), stone(0.18, 45, 8), 130),
			block("left wing", v(-78, 4, 12), v(34, 14, 12), stone(0.18, 18, 9), 90), block("right wing", v(80, 4, 12), v(36, 14, 12), stone(0.18, 18, 10), 90),
			bank(v(-215, 16, -150), v(110, 42, 130), 11), bank(v(215, 16, -150), v(110, 40, 130), 12), bank(v(0, 26, -330), v(420, 40, 60), 13))
		for i := range 13 {
			t = append(t, tree(v(-260+44*float64(i), 30, -220-90*noise.Unit(3, int64(i), 0, 0)), 70+60*noise.Unit(3, int64(i), 1, 0), 36+16*noise.Unit(3, int64(i), 2, 0), uint64(30+i)))
		}
		return outdoors(light.Camera{Eye: v(14, 26, 150), Aim: v(0, 28, -60), Height: 128, Iris: 0.1}, 0.035, 1, 14, t...)
	},
	"mellock-stairs": func() *light.Scene {
		t := []light.Thing{water(-8, 16)}
		for k := range 4 {
			y, z := 40*float64(k), -40-130*float64(k)
			t = append(t, gates(v(0, y-8, z), 26, 46, k == 0, uint64(40+k))...)
			t = append(t, block("walls", v(-68, y, z-62), v(40, 44, 64), stone(0.17, y+44, uint64(50+k)), 110), block("walls", v(68, y, z-62), v(40, 44, 64), stone(0.17, y+44, uint64(60+k)), 110),
				block("pound", v(0, y-2, z-66), v(28, 34, 60), light.Shiny(0.05, 0.6, 20), 60))
		}
		t = append(t, bank(v(-205, 30, -330), v(110, 80, 290), 17), bank(v(205, 30, -330), v(110, 84, 290), 18), house(-74, 30, 26, 0.8, -150, 0.5, 19))
		t[len(t)-1] = lift(t[len(t)-1], 84)
		for i := range 8 {
			side := float64(1 - 2*(i%2))
			t = append(t, tree(v(side*(125+20*noise.Unit(4, int64(i), 0, 0)), 60+22*float64(i/2), -110-130*float64(i/2)), 105, 36, uint64(70+i)))
		}
		return outdoors(light.Camera{Eye: v(-16, 30, 190), Aim: v(0, 66, -100), Height: 196, Iris: 0.1}, 0.030, 1, 24, t...)
	},
	"chain-ferry": func() *light.Scene { return ferry(0) }, "chain-ferry-again": func() *light.Scene { return ferry(1) },
	"brusket-wharf": func() *light.Scene {
		hoist := f.Union(f.Box(v(-40, 118, -42), v(1.6, 1.6, 14), 0.2), f.Rod(v(-40, 117, -30), v(-40, 62, -30), 0.35, 0.35), f.Box(v(-40, 58, -30), v(4, 5, 3.4), 1.5))
		t := []light.Thing{water(-14, 26), house(-40, 74, 112, 1.15, -56, 0.20, 27), house(34, 62, 56, 0.9, -62, 0.34, 28), house(101, 60, 40, 0.8, -70, 0.12, 29),
			thing("hoist", hoist, v(-40, 88, -38), v(6, 40, 20), 130, light.Plain(0.10)),
			block("quay", v(20, -9, -70), v(260, 9, 38), stone(0.2, 0, 30), 120), barge(v(28, -14, -20), 140, 31)}
		t = append(t, clutter(-44, 0, 32, 20, -12, 46, 60, 84)...)
		t = append(t, tree(v(-130, 0, -120), 110, 42, 33), tree(v(-190, 0, -100), 90, 40, 34))
		return outdoors(light.Camera{Eye: v(40, 34, 330), Aim: v(0, 50, -60), Height: 190, Iris: 0.2}, 0.020, 1, 35, t...)
	},
	"lock-at-dusk": func() *light.Scene {
		h := house(-62, 58, 34, 0.95, -66, 0.42, 36)
		lit := block("lit window", v(-62+17.4, 16, -67.2), v(3.0, 5.4, 0.5), light.Plain(9), 40)
		t := append(gates(v(40, -10, -60), 28, 40, true, 37), h, lit, water(-10, 38),
			block("wall", v(-50, 0, -108), v(62, 12, 90), stone(0.16, 10, 39), 120), block("wall", v(112, 0, -88), v(44, 34, 60), stone(0.16, 30, 40), 110), bank(v(0, 0, -300), v(400, 40, 60), 41))
		for i := range 4 {
			t = append(t, bare(v(-120+72*float64(i)+12*noise.Unit(5, int64(i), 0, 0), 10, -170-20*float64(i%2)), 130+20*noise.Unit(5, int64(i), 1, 0), uint64(80+i)))
		}
		return outdoors(light.Camera{Eye: v(-10, 24, 190), Aim: v(-8, 34, -60), Height: 132, Iris: 0.1}, 0.05, 0.42, 44, t...)
	},
}

// lift raises a finished thing.
func lift(t light.Thing, dy float64) light.Thing {
	old, m := t.Solid, t.Skin
	lo, hi := old.Bounds()
	up := v(0, dy, 0)
	t.Solid = f.Bake(func(p vec.V) float64 { return old.Exact(p.Sub(up)) }, lo.Add(up), hi.Add(up), 130)
	t.Skin = func(p, n vec.V) light.Surface { return m(p.Sub(up), n) }
	return t
}

// ferry is the chain ferry at its stage; turn moves the clouds and the reeds a little.
func ferry(turn float64) *light.Scene {
	deck := f.Union(f.Box(v(0, 2, 0), v(52, 4, 17), 0.4),
		f.Placed(f.Box(vec.V{}, v(12, 0.8, 15), 0.2), v(-62, 8, 0), vec.Turned(0, 0, -24)), f.Placed(f.Box(vec.V{}, v(12, 0.8, 15), 0.2), v(62, 8, 0), vec.Turned(0, 0, 24)))
	var rails []f.SDF
	for i := range 9 {
		x := -48 + 12*float64(i)
		rails = append(rails, f.Rod(v(x, 5, 16), v(x, 17, 16), 0.6, 0.5), f.Rod(v(x, 5, -16), v(x, 17, -16), 0.6, 0.5))
	}
	rails = append(rails, f.Rod(v(-48, 17, 16), v(48, 17, 16), 0.55, 0.55), f.Rod(v(-48, 11.5, 16), v(48, 11.5, 16), 0.4, 0.4), f.Rod(v(-48, 17, -16), v(48, 17, -16), 0.55, 0.55))
	hut := f.Union(f.Box(v(20, 18, -6), v(11, 13, 8), 0.3), f.Placed(f.Box(vec.V{}, v(13, 0.9, 10), 0.2), v(20, 32, -6), vec.Turned(0, 0, 6)))
	wheel := f.Placed(f.Union(f.Ring(vec.V{}, 8, 0.8), f.Rod(v(-8, 0, 0), v(8, 0, 0), 0.5, 0.5), f.Rod(v(0, 0, -8), v(0, 0, 8), 0.5, 0.5)), v(-14, 14, 16), vec.Turned(0, 90, 0))
	s := f.Union(deck, f.Union(rails...), hut, wheel)
	wood := boards(0.2, 3, 51)
	t := []light.Thing{water(-4, 52),
		placed("ferry", s, func(p, n vec.V) light.Surface {
			r := wood(p, n)
			if p.Y < 5 {
				r.Albedo *= 0.4
			}
			if p.X > 8 && p.X < 32 && p.Y > 6 && math.Abs(p.Y-22) < 4 && math.Abs(p.X-20) < 5 && p.Z > 1.5 {
				r = light.Surface{Albedo: 0.02, Gloss: 1, Sharp: 50, Mirror: 0.08}
			}
			return r
		}, v(0, -2, -20), vec.Turned(-14, 0, 0), v(0, 15, 0), v(76, 22, 24), 240)}
	var chain []vec.V
	for i := range 15 {
		u := float64(i) / 14
		chain = append(chain, v(-64-70*u, 4-9*u+10*(u-0.5)*(u-0.5)-2.5, 6+46*u))
	}
	t = append(t, thing("chain", rope(chain, 1.3), v(-100, 0, 30), v(40, 12, 32), 150, light.Shiny(0.05, 0.8, 20)))
	var posts []f.SDF
	for i := range 6 {
		x := 92 + 16*float64(i%3)
		z := -8 + 34*float64(i/3)
		posts = append(posts, f.Rod(v(x, -14, z), v(x, 13+2*noise.Unit(6, int64(i), 0, 0), z), 1.9, 1.7))
	}
	posts = append(posts, f.Box(v(112, 7, 9), v(26, 1, 19), 0.2))
	t = append(t, thing("stage", f.Union(posts...), v(112, 1, 9), v(30, 18, 24), 130, boards(0.24, 3, 53)),
		bank(v(0, -10, -330), v(700, 22, 70), 54), bank(v(300, -8, 30), v(170, 24, 90), 55))
	for i := range 13 {
		h := 105 + 50*noise.Unit(8, int64(i), 0, 0)
		p := v(-330+52*float64(i)+20*noise.Unit(8, int64(i), 1, 0), 2, -320)
		crown := f.Rough(f.Egg(p.Add(v(0, h*0.55, 0)), v(13, h*0.5, 13)), 0.45, func(q vec.V) float64 {
			return 5 * noise.Cloud3(uint64(90+i), q.X*0.12, q.Y*0.10, q.Z*0.12, 3)
		})
		t = append(t, thing("poplar", crown, p.Add(v(0, h*0.55, 0)), v(20, h*0.6, 20), 70, func(q, n vec.V) light.Surface {
			return light.Surface{Albedo: 0.10 * (1 + 0.6*noise.Cloud3(91, q.X*0.5, q.Y*0.5, q.Z*0.5, 3))}
		}))
	}
	return outdoors(light.Camera{Eye: v(-30+4*turn, 30, 260), Aim: v(2+4*turn, 26, -30), Height: 150, Iris: 0.1}, 0.035, 1, 56+uint64(turn), t...)
}
