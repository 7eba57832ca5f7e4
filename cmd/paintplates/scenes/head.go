// Package scenes holds everything the plates of the demo show: people, their tools, still lifes, wharves, the
// morning's test. In: a scene's name. Out: a light.Scene. Lengths in centimetres; a head's origin is between the
// eyes and ears, its face towards +z.
package scenes

import (
	"math"

	f "sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/light"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

// v is short for a point: the figures below are mostly points.
func v(x, y, z float64) vec.V { return vec.New(x, y, z) }

// Face is one person's head by its proportions; 0 is the average throughout.
type Face struct {
	Wide  float64 // −1 narrow … 1 wide
	Jaw   float64 // −1 fine … 1 heavy
	Nose  float64 // −1 short … 1 long
	Hook  float64 // bridge of the nose, 0 straight … 1 hooked
	Lips  float64 // −1 thin … 1 full
	Brow  float64 // −1 smooth … 1 heavy
	Age   float64 // 0 young … 1 old
	Cheek float64 // −1 hollow … 1 round
	Lids  float64 // degrees the eyes are open above the middle; 0 means 12.5
	Child bool
	Skin  float64 // albedo to the plate; 0 means 0.34
	Brows float64 // darkness of the eyebrows 0–1
	Iris  float64 // albedo of the iris: blue 0.5, brown 0.08
	Gaze  float64 // degrees the eyes look to the sitter's left (+x)
	Look  float64 // degrees the eyes look down
	Freck float64 // freckles 0–1
	Seed  uint64
	Smile float64
	Stub  float64 // stubble 0–1
}

// skull is the head without hair.
func (c Face) skull() f.SDF {
	wide := 1 + 0.06*c.Wide
	jaw := 1 + 0.13*c.Jaw
	nose := 0.55 * c.Nose
	chinY := -9.2 - 0.4*c.Jaw
	if c.Child {
		chinY = -8.5
		jaw *= 0.9
	}
	base := f.Melt(2.2,
		f.Egg(v(0, 3.6, -1.2), v(7.4*wide, 8.2, 9.2)),
		f.Egg(v(0, 4.6, 2.8), v(6.1*wide, 5.0, 5.8)),
		f.Egg(v(0, -1.8, 2.3), v(6.1*wide, 6.6, 5.9)),
		f.Egg(v(0, -6.0, 2.5), v(4.8*jaw*wide, 4.2, 5.4)),
		f.Rod(v(0, -6, -2.2), v(0, -18, -4.2), 4.5+0.4*c.Jaw, 5.0+0.4*c.Jaw),
	)
	half := f.Melt(1.4,
		f.TiltedEgg(v(4.3*wide, -1.1, 5.0), v(2.2, 1.25+0.15*c.Cheek, 2.0), vec.Turned(25, 0, 12)),
		f.Egg(v(3.5*wide, -3.5, 5.7), v(2.1, 2.3, 1.7+0.5*c.Cheek)),
		f.Rod(v(4.7*wide*math.Sqrt(jaw), -4.6, -0.2), v(1.9*jaw, chinY+0.1, 6.2), 1.1, 1.1),
	)
	front := f.Melt(1.1,
		f.Egg(v(0, chinY, 6.7), v(1.9*jaw, 1.4, 1.6)),
		f.Egg(v(0, -5.3, 6.2), v(2.9, 2.7, 2.8)),
		f.Mirror(f.Rod(v(0.7, 2.5, 7.7+0.25*c.Brow), v(4.9, 2.5, 5.6), 0.85+0.18*c.Brow, 0.75)),
	)
	sock := f.Mirror(f.TiltedEgg(v(3.2, 0.55, 9.1), v(2.15, 1.35+0.1*c.Age, 2.15), vec.Turned(14, 0, -5)))
	temple := f.Mirror(f.Egg(v(9.1*wide, 2.4, 4.4), v(1.7, 3.0, 3.0)))
	hollow := f.Mirror(f.Egg(v(7.0, -5.8, 5.4), v(1.5, 2.2, 2.0)))
	noseBridge := f.Melt(0.7,
		f.Rod(v(0, 2.0, 7.75), v(0, 0.3, 8.6+0.75*c.Hook), 0.78, 0.72),
		f.Rod(v(0, 0.3, 8.6+0.75*c.Hook), v(0, -2.3-0.3*nose, 10.0+nose), 0.72, 0.88),
		f.Egg(v(0, -2.55-0.4*nose, 10.15+nose), v(0.92, 0.82, 0.85)),
		f.Mirror(f.Egg(v(1.15, -2.85-0.25*nose, 9.15+0.7*nose), v(0.72, 0.66, 0.95))),
		f.Rod(v(0, -3.3, 8.9), v(0, -3.05-0.3*nose, 9.9+nose), 0.4, 0.35),
	)
	nostril := f.Mirror(f.Egg(v(0.6, -3.42-0.3*nose, 9.6+0.8*nose), v(0.34, 0.36, 0.55)))
	mouth := c.mouth()
	neck := f.Mirror(f.Rod(v(4.0*wide, -7.0, -2.6), v(1.2, -18.5, 0.6), 0.6, 0.9))
	ear := c.ear(wide)
	lids := c.lids()
	folds := c.folds(chinY)
	return func(p vec.V) float64 {
		d := base(p)
		if d > 6 {
			return d - 3
		}
		d = f.Smin(d, f.Mirror(half)(p), 1.5)
		d = f.Smin(d, front(p), 1.5)
		d = f.Smax(d, -sock(p), 1.5)
		d = f.Smax(d, -temple(p), 2.2)
		d = f.Smax(d, -hollow(p)+0.9*c.Cheek+0.3, 2.4)
		d = f.Smin(d, noseBridge(p), 0.75)
		d = f.Smax(d, -nostril(p), 0.25)
		d = f.Smin(d, neck(p), 1.6)
		d = mouth(p, d)
		d = lids(p, d)
		d = folds(p, d)
		return f.Smin(d, ear(p), 0.5)
	}
}

// mouth adds the lips and cuts the line between them.
func (c Face) mouth() func(vec.V, float64) float64 {
	full := 1 + 0.3*c.Lips
	up := 0.35 * c.Smile
	upper := f.Mirror(f.Melt(0.3,
		f.Rod(v(0.45, -5.1, 8.72), v(2.3, -5.6+up, 7.75), 0.46*full, 0.2),
		f.Egg(v(0, -5.28, 8.78), v(0.6, 0.34*full, 0.40))))
	lower := f.Mirror(f.Rod(v(0, -6.15, 8.66), v(2.0, -5.8+up, 7.8), 0.56*full, 0.22))
	line := f.Mirror(f.Rod(v(0, -5.62, 9.25), v(2.55, -5.66+up, 7.95), 0.11, 0.12))
	under := f.Egg(v(0, -7.35, 9.0), v(1.7, 0.5, 0.75))
	phil := f.Rod(v(0, -3.9, 9.25), v(0, -4.75, 9.3), 0.24, 0.3)
	return func(p vec.V, d float64) float64 {
		if p.Y > -2 || p.Y < -9 || p.Z < 5 {
			return d
		}
		d = f.Smax(d, -under(p), 0.9)
		d = f.Smin(d, upper(p), 0.35)
		d = f.Smin(d, lower(p), 0.4)
		d = f.Smax(d, -phil(p), 0.5)
		return f.Smax(d, -line(p), 0.16)
	}
}

func (c Face) ear(wide float64) f.SDF {
	t := vec.Turned(-22, 0, 0).After(vec.Turned(0, -10, 0))
	at := v(7.0*wide, -0.4, -1.0)
	if c.Child {
		at.X += 0.3
	}
	shell := f.Melt(0.4,
		f.Carve(0.5, f.Egg(v(0, 0.3, 0), v(0.85, 2.9, 1.75)), f.Egg(v(0.75, 0.5, 0.15), v(0.7, 2.0, 1.1))),
		f.Egg(v(0.05, -2.3, 0.35), v(0.55, 0.85, 0.75)),
		f.Rod(v(0.25, -0.6, 1.2), v(0.2, 0.4, 1.3), 0.35, 0.3),
		f.Rod(v(0.35, 0.1, -0.3), v(0.3, -1.2, -0.7), 0.28, 0.25),
	)
	return f.Mirror(func(p vec.V) float64 { return shell(t.Undo(p.Sub(at))) })
}

const eyeX, eyeY, eyeZ, eyeR = 3.15, 0.5, 6.62, 1.22

// lids wraps the eyeballs; the balls themselves are a thing of their own.
func (c Face) lids() func(vec.V, float64) float64 {
	open := c.Lids
	if open == 0 {
		open = 12.5
	}
	upA, lowA := open*math.Pi/180, -14*math.Pi/180
	if open < 2 {
		lowA = upA - 0.06
	}
	return func(p vec.V, d float64) float64 {
		q := v(math.Abs(p.X)-eyeX, p.Y-eyeY, p.Z-eyeZ)
		l := q.Len()
		if l > 3 {
			return d
		}
		// The slit sags towards both corners, more at the nose.
		sag := 0.10*q.X*q.X + 0.05*q.X
		shell := l - eyeR - 0.17
		hollow := -(l - eyeR + 0.02)
		up := (math.Sin(upA)*q.Z - math.Cos(upA)*(q.Y+sag*0.8))
		low := (math.Cos(lowA)*(q.Y-sag*0.55) - math.Sin(lowA)*q.Z)
		upper := f.Smax(shell, up, 0.12)
		lower := f.Smax(shell-0.02, low, 0.14)
		both := max(min(upper, lower), -1)
		d = f.Smax(d, hollow, 0.05)
		crease := math.Abs(l-eyeR-0.2) + math.Abs(q.Y-0.95-0.06*q.X)*0.8
		d = f.Smin(d, both, 0.32)
		if q.Z > 0 {
			d += 0.10 * math.Exp(-crease*crease/0.02)
		}
		return d
	}
}

// folds are the lines of age: from the nose to the mouth, under the eyes, on the forehead, at the outer corners.
func (c Face) folds(chinY float64) func(vec.V, float64) float64 {
	lab := f.Mirror(f.Rod(v(1.9, -2.6, 9.2), v(3.4, -6.3, 7.6), 0.05, 0.05))
	bag := f.Mirror(f.TiltedEgg(v(3.1, -0.9, 8.25), v(1.7, 0.18, 0.5), vec.Turned(14, 0, 0)))
	mar := f.Mirror(f.Rod(v(2.8, -6.2, 8.2), v(2.9, -8.0, 7.3), 0.04, 0.04))
	s := c.Seed
	return func(p vec.V, d float64) float64 {
		if d > 1.5 {
			return d
		}
		a := c.Age
		d = f.Smax(d, -lab(p)+0.12-0.30*a, 0.55+0.2*a)
		if a > 0.2 {
			d = f.Smax(d, -bag(p), 0.35*a)
			d = f.Smax(d, -mar(p)+0.1-0.15*a, 0.35)
		}
		if a > 0.3 && p.Z > 2 {
			if p.Y > 3.2 {
				w := math.Sin(5.2*(p.Y+0.35*noise.Value(s, p.X*0.5, p.Y, 0)) + 0.6)
				d += 0.045 * a * max(0, w) * max(0, w) * (0.6 + 0.4*noise.Value(s+1, p.X*0.4, p.Y*0.9, 3)) * clamp((p.Y-3.2)*0.8)
			}
			x := math.Abs(p.X)
			if x > 4.3 && p.Y > -1.8 && p.Y < 2.4 {
				ang := math.Atan2(p.Y-0.45, x-4.0)
				d += 0.05 * a * max(0, math.Cos(9*ang)) * clamp((x-4.3)*2) * clamp((6.6-x)*1.2)
			}
		}
		if a > 0.1 {
			d += 0.035 * a * noise.Cloud3(s+2, p.X*1.6, p.Y*1.1, p.Z*1.6, 2)
		}
		return d
	}
}

func clamp(t float64) float64 { return min(1, max(0, t)) }

// between rises smoothly from 0 at lo to 1 at hi.
func between(lo, hi, x float64) float64 {
	t := clamp((x - lo) / (hi - lo))
	return t * t * (3 - 2*t)
}

// skin colours the head: lips, cheeks and lids darker to the plate, eyebrows, freckles, stubble.
func (c Face) skin() func(p, n vec.V) light.Surface {
	tone := c.Skin
	if tone == 0 {
		tone = 0.42
	}
	s := c.Seed + 100
	return func(p, n vec.V) light.Surface {
		a := tone * (1 + 0.10*noise.Cloud3(s, p.X*0.35, p.Y*0.35, p.Z*0.35, 2) + 0.08*noise.Cloud3(s+1, p.X*2.2, p.Y*2.2, p.Z*2.2, 3))
		x := math.Abs(p.X)
		lip := math.Hypot((x)/2.5, (p.Y+5.65)/(0.85+0.25*c.Lips))
		if p.Z > 7 {
			a *= 1 - 0.42*between(1.12, 0.8, lip)
			if d := math.Abs(p.Y + 5.64 - 0.35*c.Smile*x*x/5); d < 0.2 && x < 2.5 {
				a *= 0.55 + 0.45*d/0.2
			}
		}
		cheek := math.Hypot((x-3.9)/2.4, (p.Y+2.8)/2.0)
		a *= 1 - 0.16*between(1.3, 0.2, cheek)
		a *= 1 - 0.14*between(1.6, 0.6, math.Hypot(x/1.6, (p.Y+2.7)/1.3))
		eye := math.Hypot((x-eyeX)/2.2, (p.Y-eyeY)/1.3)
		if p.Z > 3 {
			a *= 1 - 0.22*between(1.5, 0.5, eye)
			a *= 1 - c.Brows*0.85*c.browMask(x, p.Y, s)
		}
		if lid := math.Abs(p.Sub(v(math.Copysign(eyeX, p.X), eyeY, eyeZ)).Len()-eyeR) - 0.10; lid < 0.05 && p.Z > 6 {
			a *= 0.5 // the edge of the lid and its lashes
		}
		if c.Freck > 0 && p.Z > 0 {
			q := vec.Turned(31, 17, 23).Apply(p)
			a *= 1 - 0.26*c.Freck*between(0.12, 0.55, noise.Cloud3(s+3, q.X*3.1, q.Y*3.1, q.Z*3.1, 2))*between(-8, -3, p.Y)
		}
		if c.Stub > 0 && p.Z > -1 {
			low := between(-3.2, -4.6, p.Y) * between(-12, -10, p.Y)
			a *= 1 - 0.5*c.Stub*low*(0.75+0.4*noise.Value(s+4, p.X*5, p.Y*5, p.Z*5))
		}
		tilt := v(noise.Value(s+5, p.X*3.5, p.Y*3.5, p.Z*3.5), noise.Value(s+6, p.X*3.5, p.Y*3.5, p.Z*3.5), 0).Mul(0.05 + 0.05*c.Age)
		return light.Surface{Albedo: a, Gloss: 0.20, Sharp: 14, Soft: 0.7 - 0.3*c.Age, Tilt: tilt}
	}
}

func (c Face) browMask(x, y float64, s uint64) float64 {
	along := clamp((x - 1.2) / 4.0)
	mid := 2.45 + 0.75*math.Sin(math.Pi*min(1, along*0.85+0.1)) - 0.5*along
	thick := 0.62 * (1 - 0.55*along)
	if x < 1.0 || x > 5.5 {
		return 0
	}
	k := between(1, 0.3, math.Abs(y-mid)/thick) * between(1.0, 1.7, x) * between(5.5, 4.6, x)
	return clamp(k * (0.9 + 0.3*noise.Value(s+9, x*5+y*3, y*2-x, 1)))
}

// eyes gives the eyeballs, which turn with the gaze.
func (c Face) eyes() (f.SDF, light.Material) {
	balls := f.Mirror(f.Ball(v(eyeX, eyeY, eyeZ), eyeR))
	look := vec.Turned(c.Gaze, c.Look, 0)
	iris := c.Iris
	if iris == 0 {
		iris = 0.3
	}
	return balls, func(p, n vec.V) light.Surface {
		q := look.Undo(p.Sub(v(math.Copysign(eyeX, p.X), eyeY, eyeZ)))
		r := math.Hypot(q.X, q.Y)
		if q.Z < 0 {
			r = 2
		}
		a := 0.34
		switch {
		case r < 0.27:
			a = 0.015
		case r < 0.66:
			a = iris * (0.75 + 0.25*math.Cos(20*math.Atan2(q.Y, q.X))) * (0.6 + 0.6*(r-0.27))
			if r > 0.57 {
				a *= 0.55
			}
		}
		return light.Surface{Albedo: a, Gloss: 3.2, Sharp: 110}
	}
}
