package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// garment is one layer of clothing in the body's coordinates, whose origin is where the head's would be if it looked
// straight ahead.
type garment struct {
	solid f.SDF
	skin  func(p, n vec.V) light.Surface
	cells int
}

// body is a clothed trunk from which layers are cut: all layers share its folds, so that none pokes through another.
type body struct {
	size float64 // 0 slight … 1 broad
	bust float64
	seed uint64
	bare f.SDF
}

func newBody(size, bust float64, seed uint64) *body {
	w := 0.84 + 0.14*size
	b := &body{size: size, bust: bust, seed: seed}
	b.bare = f.Melt(5,
		f.Egg(v(0, -42, -4.5), v(15.5*w, 22, 10.5)),
		f.Rod(v(0, -56, -4.5), v(0, -110, -4.5), 12*w, 14*w),
		f.Mirror(f.Rod(v(0, -23.5, -5), v(13.0*w, -26.8, -5.2), 4.8, 4.6)),
		f.Mirror(f.Rod(v(1.5, -15.5, -5.2), v(12*w, -24.6, -5.6), 3.2, 3.2)),
		f.Mirror(f.Rod(v(15.8*w, -29.5, -4.8), v(19.0*w, -60, -2.5), 4.8, 4.5)),
		f.Mirror(f.Egg(v(7*w, -33, 1.0), v(8*w, 8-2*bust, 5.2+2.4*bust))),
	)
	return b
}

// layer is the trunk out centimetres thicker, with worn folds of the given depth.
func (b *body) layer(out, depth float64) f.SDF {
	s := b.seed
	return func(p vec.V) float64 {
		d := b.bare(p) - out
		if d > 4 {
			return d - 1.5
		}
		n := noise.Cloud3(s, p.X*0.10, p.Y*0.06, p.Z*0.10, 2)
		arm := between(10, 16, math.Abs(p.X))
		pull := math.Sin(0.50*p.Y+0.35*math.Abs(p.X)+5*n) * (0.25 + 0.75*arm)
		elbow := between(-38, -50, p.Y) * arm * math.Sin(0.9*p.Y-0.5*p.Z+3*n)
		fine := noise.Cloud3(s+5, p.X*0.35, p.Y*0.25, p.Z*0.35, 2)
		return (d - depth*(1.1*n+0.45*pull+0.4*elbow+0.3*fine)) * 0.78
	}
}

// neckline is the ring of a collar round the neck: radius and height of its section.
func neckline(profile [][2]float64, round float64) f.SDF {
	s := f.Turned(v(0, 0, -3.6), profile, 0)
	return func(p vec.V) float64 { p.X *= 1.05; return s(p)*0.93 - round }
}

// wedge is the opening of a coat: half width w at the top, closing at bottom, in front only.
func wedge(w, top, bottom float64) f.SDF {
	return func(p vec.V) float64 {
		t := (top - p.Y) / (top - bottom)
		return max(0.9*(math.Abs(p.X)-w*(1-t)), -p.Z-2)
	}
}

func buttons(m func(p, n vec.V) light.Surface, top, gap, x, r, albedo float64) func(p, n vec.V) light.Surface {
	return func(p, n vec.V) light.Surface {
		s := m(p, n)
		if p.Z > 0 && p.Y < top {
			dy := math.Mod(top-p.Y, gap) - gap/2
			if d := math.Hypot(p.X-x, dy); d < r {
				s.Albedo, s.Gloss, s.Sharp = albedo, 1.2, 40
				s.Tilt = v((p.X-x)/r*0.6, dy/r*-0.6, 0)
			} else if d < r+0.25 {
				s.Albedo *= 0.5
			}
		}
		return s
	}
}

func (b *body) shirt(tone float64) garment {
	stand := neckline([][2]float64{{5.0, -21}, {6.9, -21}, {6.1, -16.6}, {5.3, -16.4}}, 0.1)
	fall := f.Carve(0.2, neckline([][2]float64{{5.6, -16.0}, {6.3, -16.0}, {8.2, -20.0}, {7.6, -20.3}}, 0.12), func(p vec.V) float64 {
		return max(math.Abs(p.X)-0.5-0.55*max(0, -16-p.Y), -p.Z)
	})
	s := f.Union(b.layer(0, 0.5), stand, fall)
	m := cloth(tone, b.seed+2)
	return garment{s, buttons(func(p, n vec.V) light.Surface {
		r := m(p, n)
		if x := math.Abs(p.X - 1.3); x < 0.12 && p.Z > 0 && p.Y < -20 {
			r.Albedo *= 0.7
		}
		return r
	}, -20, 7, 0, 0.5, 0.45), 110}
}

// coat is a jacket with lapels, worn open to close at the height shut.
func (b *body) coat(tone, open, shut float64) garment {
	out := b.layer(1.3, 0.5)
	over := b.layer(2.0, 0.5)
	top := -17.0
	vee := wedge(open, top, shut)
	lapel := func(p vec.V) float64 {
		x, t := math.Abs(p.X), (top-p.Y)/(top-shut)
		in := open * (1 - t)
		wide := 5.2 * math.Sin(math.Pi*(0.22+0.78*clamp(t)))
		if t < 0.30 {
			wide -= 3.2 * (1 - math.Abs(t-0.22)/0.08*1) * between(0.30, 0.22, t) * between(0.12, 0.2, t)
		}
		region := max(max(in-x, x-in-wide), max(p.Y-top-1.5, shut-p.Y))
		return max(over(p), max(region*0.8, -p.Z-1))
	}
	collar := f.Carve(0.3, neckline([][2]float64{{6.6, -21.5}, {8.8, -21.5}, {7.6, -16.4}, {6.9, -16.2}}, 0.25), func(p vec.V) float64 {
		return max(math.Abs(p.X)-0.8*open, -p.Z+0.5)
	})
	edge := func(p vec.V) float64 { // below the button one side laps over
		return max(math.Abs(p.X-0.35)-0.16, max(p.Y-shut, -p.Z-2))
	}
	s := f.Melt(0.25, f.Carve(0.25, f.Carve(0.25, out, vee), edge), lapel, collar)
	return garment{s, buttons(cloth(tone, b.seed), shut, 9, 1.8, 1.0, tone*0.5), 120}
}

func (b *body) waistcoat(tone float64) garment {
	s := f.Carve(0.25, f.Carve(0.3, b.layer(0.75, 0.4), wedge(5.0, -18, -36)), func(p vec.V) float64 {
		return 13.2 + 0.10*max(0, -28-p.Y) - math.Abs(p.X) // the arms stay free
	})
	return garment{s, buttons(cloth(tone, b.seed+4), -36.5, 6, 0.9, 0.75, 0.12), 110}
}

// neckcloth is a knotted tie or kerchief in the collar.
func neckcloth(tone float64, seed uint64) garment {
	s := f.Melt(0.5,
		neckline([][2]float64{{5.6, -19.2}, {6.9, -19.4}, {6.7, -17.4}, {5.8, -17.2}}, 0.15),
		f.Egg(v(0, -19.0, 3.9), v(1.4, 1.5, 1.1)),
		f.Rod(v(0.3, -20, 4.0), v(1.7, -27, 5.0), 0.8, 1.5), f.Rod(v(-0.3, -20, 4.0), v(-1.6, -25.5, 4.8), 0.8, 1.4))
	return garment{f.Rough(s, 0.8, func(p vec.V) float64 { return 0.25 * noise.Cloud3(seed, p.X*0.9, p.Y*0.5, p.Z*0.9, 2) }), cloth(tone, seed), 90}
}

func (b *body) dress(tone float64) []garment {
	band := neckline([][2]float64{{5.0, -22}, {7.3, -22}, {5.9, -15.6}, {5.2, -15.5}}, 0.1)
	pleat := func(p vec.V) float64 {
		return 0.16 * math.Abs(math.Sin(p.X*1.5)) * between(-20, -26, p.Y) * between(9, 6, math.Abs(p.X)) * between(-1, 2, p.Z)
	}
	s := f.Rough(f.Melt(0.6, b.layer(0.5, 0.4), band), 0.85, pleat)
	lace := f.Rough(neckline([][2]float64{{5.3, -15.9}, {6.0, -15.9}, {6.7, -14.3}, {5.9, -14.3}}, 0.06), 0.7, func(p vec.V) float64 {
		return 0.22 * math.Sin(26*math.Atan2(p.X, p.Z+3.6))
	})
	brooch := f.TiltedEgg(v(0, -17.4, 3.2), v(1.5, 1.1, 0.5), vec.Turned(0, -15, 0))
	m := cloth(tone, b.seed)
	return []garment{
		{s, buttons(func(p, n vec.V) light.Surface { r := m(p, n); r.Gloss, r.Sharp = 0.25, 9; return r }, -20, 3.6, 0, 0.5, 0.08), 120},
		{lace, cloth(0.8, b.seed+9), 60},
		{brooch, light.Shiny(0.35, 1.2, 40), 40},
	}
}

func (b *body) shawl(tone float64) []garment {
	under := b.dress(0.16)
	s := b.seed
	fold := func(p vec.V) float64 {
		n := noise.Cloud3(s, p.X*0.07, p.Y*0.05, p.Z*0.07, 2)
		return 0.55*math.Sin(0.62*math.Abs(p.X)-0.50*p.Y+6*n) + 0.25*noise.Cloud3(s+1, p.X*0.3, p.Y*0.3, p.Z*0.3, 2)
	}
	outer := f.Melt(4, b.layer(2.0, 0.3), f.Rod(v(0, -19, -6.5), v(0, -23, -6.5), 8.2, 9.5))
	wrap := f.Rough(f.Carve(0.8, outer, f.Melt(1.5, wedge(6.8, -16, -42), f.Rod(v(0, -12, -1), v(0, -23, -1), 7.4, 6.8))), 0.7, fold)
	m := cloth(tone, s+3)
	plaid := func(p, n vec.V) light.Surface {
		r := m(p, n)
		a, c := math.Abs(p.X)*0.8+p.Y*0.6, math.Abs(p.X)*0.6-p.Y*0.8
		if math.Mod(a+200, 7) < 1.1 || math.Mod(c+200, 7) < 1.1 {
			r.Albedo *= 1.7
		}
		r.Tilt = r.Tilt.Add(v(0.1*math.Sin(p.X*8), 0.1*math.Sin(p.Y*8), 0))
		return r
	}
	return append(under[:2], garment{wrap, plaid, 130})
}

func (b *body) jersey(tone float64) garment {
	neck := neckline([][2]float64{{5.0, -22}, {8.0, -22}, {7.0, -15.2}, {6.0, -14.9}}, 0.3)
	s := f.Melt(1.0, b.layer(0.9, 0.5), neck)
	knit := func(p vec.V) float64 {
		if p.Y > -19.5 {
			return 0.18 * math.Abs(math.Sin(17*math.Atan2(p.X, p.Z+3.6)))
		}
		cable := between(2.6, 1.8, math.Abs(math.Mod(math.Abs(p.X)+20, 7)-3.5))
		return 0.10*math.Abs(math.Sin(p.X*2.4)) + cable*0.22*math.Sin(p.Y*1.3+2*math.Sin(p.X*1.8))
	}
	m := cloth(tone, b.seed)
	return garment{f.Rough(s, 0.75, knit), func(p, n vec.V) light.Surface {
		r := m(p, n)
		r.Tilt = r.Tilt.Add(v(0.22*math.Sin(p.X*9), 0.22*math.Sin(p.Y*11), 0))
		return r
	}, 130}
}

func (b *body) apron(tone float64) garment {
	outer := b.layer(1.2, 0.35)
	s := func(p vec.V) float64 {
		bib := max(math.Abs(p.X)-8.5-0.35*max(0, -34-p.Y), max(p.Y+31, -p.Z-6))
		strap := max(math.Abs(math.Abs(p.X)-6.6-0.10*(p.Y+31))-1.3, max(-p.Z-2, -(p.Y+33)))
		return max(outer(p), min(bib, strap))
	}
	m := cloth(tone, b.seed+6)
	return garment{s, func(p, n vec.V) light.Surface {
		r := m(p, n)
		r.Albedo *= 1 + 0.6*max(0, noise.Cloud3(b.seed+8, p.X*0.12, p.Y*0.12, p.Z*0.12, 3))
		r.Gloss, r.Sharp = 0.5, 9
		return r
	}, 120}
}

// dress gives the clothes by kind.
func dress(kind string, tone, size float64, seed uint64) []garment {
	bust := 0.0
	if kind == "dress" || kind == "shawl" {
		bust = 0.8
	}
	b := newBody(size, bust, seed)
	switch kind {
	case "shirt":
		return []garment{b.shirt(tone)}
	case "jacket":
		return []garment{b.shirt(0.68), neckcloth(0.07, seed+20), b.waistcoat(tone * 0.8), b.coat(tone, 5.4, -37)}
	case "open collar":
		return []garment{b.shirt(0.62), b.coat(tone, 6.6, -40)}
	case "waistcoat":
		return []garment{b.shirt(0.66), neckcloth(0.10, seed+20), b.waistcoat(tone)}
	case "apron":
		return []garment{b.shirt(0.46), b.apron(tone)}
	case "dress":
		return b.dress(tone)
	case "shawl":
		return b.shawl(tone)
	case "jersey":
		return []garment{b.jersey(tone)}
	case "jersey and jacket":
		return []garment{b.jersey(0.24), b.coat(tone, 6.2, -38)}
	case "oilskin":
		c := b.coat(tone, 5.0, -30)
		m := c.skin
		c.skin = func(p, n vec.V) light.Surface { r := m(p, n); r.Gloss, r.Sharp = 1.0, 24; return r }
		return []garment{b.jersey(0.30), c}
	}
	return nil
}

// scarf goes round the neck over everything, its end hanging in front.
func scarf(tone float64, seed uint64) garment {
	roll := func(r, y, lean, t float64) f.SDF {
		return func(p vec.V) float64 {
			a := math.Atan2(p.X, p.Z+3.8)
			return math.Hypot(math.Hypot(p.X, p.Z+3.8)-r-0.4*math.Sin(2*a+y), (p.Y-y-lean*math.Cos(a+0.4))*0.85) - t
		}
	}
	end := f.Rod(v(2.6, -23, 5.5), v(3.6, -29, 7.6), 2.6, 2.9)
	flat := func(p vec.V) float64 { p.Z = 6 + (p.Z-6)*1.9; return end(p) * 0.53 }
	s := f.Melt(0.7, roll(7.9, -19.4, -1.6, 2.1), roll(7.4, -16.9, -1.0, 1.8), f.Egg(v(1.8, -21.6, 5.2), v(2.6, 2.4, 1.9)), flat)
	m := cloth(tone, seed)
	return garment{f.Rough(s, 0.65, func(p vec.V) float64 {
		a := math.Atan2(p.X, p.Z+3.8)
		return 0.30*math.Sin(1.9*p.Y+2.2*math.Sin(a*1.5+1)+2.5*noise.Value(seed, a, p.Y*0.15, 0)) + 0.22*noise.Cloud3(seed+1, p.X*0.35, p.Y*0.35, p.Z*0.35, 2)
	}), func(p, n vec.V) light.Surface {
		r := m(p, n)
		r.Tilt = r.Tilt.Add(v(0.2*math.Sin(p.Y*8+p.X*3), 0.2*math.Sin(p.X*8), 0))
		if p.Y < -29.5 && math.Mod(p.Y+100, 1.4) < 0.5 {
			r.Albedo *= 0.5
		}
		return r
	}, 110}
}
