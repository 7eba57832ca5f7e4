package light

import (
	"math"
	"math/bits"

	"sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/noise"
	"sandarac/cmd/paintplates/vec"
)

type tracer struct {
	s      *Scene
	seed   uint64
	solid  []int // things that cast shadows whole
	thin   []int // things that let light through
	ghosts []int
	near   []float64    // scratch for nearest
	about  []uint64     // for each lattice point of all, which of the solid things may be the nearest around it; 0: not known yet
	all    *field.Baked // the solid ones together, for shadows and for crossing empty space
}

func newTracer(s *Scene, seed uint64) *tracer {
	t := &tracer{s: s, seed: seed}
	lo, hi := vec.New(math.Inf(1), math.Inf(1), math.Inf(1)), vec.New(math.Inf(-1), math.Inf(-1), math.Inf(-1))
	for i := range s.Things {
		th := &s.Things[i]
		switch {
		case th.Ghost:
			t.ghosts = append(t.ghosts, i)
			continue
		case th.Veil > 0:
			t.thin = append(t.thin, i)
			continue
		}
		t.solid = append(t.solid, i)
		a, b := th.Solid.Bounds()
		lo = vec.New(min(lo.X, a.X), min(lo.Y, a.Y), min(lo.Z, a.Z))
		hi = vec.New(max(hi.X, b.X), max(hi.Y, b.Y), max(hi.Z, b.Z))
	}
	t.near = make([]float64, len(t.solid))
	if len(t.solid) > 0 {
		t.all = field.Bake(func(p vec.V) float64 {
			best := math.Inf(1)
			for _, i := range t.solid {
				best = min(best, s.Things[i].Solid.Near(p))
			}
			return best
		}, lo, hi, 200)
		t.about = make([]uint64, t.all.Nodes())
	}
	return t
}

// Render draws the scene w × h pixels with spp rays each.
func Render(s *Scene, w, h, spp int, seed uint64) *Frame {
	f := &Frame{W: w, H: h, Pix: make([]float64, w*h)}
	t := newTracer(s, seed)
	cam := s.Cam
	focus := cam.Focus
	if focus == (vec.V{}) {
		focus = cam.Aim
	}
	fwd := cam.Aim.Sub(cam.Eye).Norm()
	right := fwd.Cross(vec.V{Y: 1}).Norm()
	up := right.Cross(fwd)
	depth := focus.Sub(cam.Eye).Dot(fwd)
	scale := cam.Height / float64(h)
	for y := range h {
		for x := range w {
			sum, square, n := 0.0, 0.0, 0
			for i := range 2*spp + 1 {
				if i == spp { // as many rays again where the first ones disagree
					mean := sum / float64(n)
					if dev := square/float64(n) - mean*mean; dev < 0.08*(mean+0.02)*(mean+0.02) {
						break
					}
				}
				r := t.dice(x, y, i)
				px := (float64(x)+r.two(0)-float64(w)/2)*scale + cam.ShiftX
				py := -(float64(y)+r.two(1)-float64(h)/2)*scale + cam.ShiftY
				target := cam.Eye.Add(fwd.Mul(depth)).Add(right.Mul(px)).Add(up.Mul(py))
				a, rad := 2*math.Pi*r.two(2), cam.Iris*math.Sqrt(r.two(3))
				eye := cam.Eye.Add(right.Mul(rad * math.Cos(a))).Add(up.Mul(rad * math.Sin(a)))
				e := min(t.see(eye, target.Sub(eye).Norm(), &r, 0), 3)
				sum, square, n = sum+e, square+e*e, n+1
			}
			f.Pix[y*w+x] = sum / float64(n)
		}
	}
	return f
}

// dice gives well spread numbers: an additive recurrence (Roberts 2018) shifted by a hash of pixel and dimension.
type dice struct {
	seed uint64
	x, y int64
	i    float64
	used int64
}

func (t *tracer) dice(x, y, i int) dice {
	return dice{seed: t.seed, x: int64(x), y: int64(y), i: float64(i)}
}

var steps = [...]float64{0.7548776662466927, 0.5698402909980532, 0.8191725133961645, 0.6710436067037893, 0.5497004779019703, 0.8566748838545029, 0.7338918566271259, 0.6287067210378087}

func (d *dice) two(dim int64) float64 {
	v := noise.Unit(d.seed, d.x, d.y, dim) + d.i*steps[dim%int64(len(steps))]
	return v - math.Floor(v)
}

func (d *dice) next() float64 { d.used++; return d.two(3 + d.used) }

// march finds the first thing hit; exact near surfaces.
func (t *tracer) march(o, dir vec.V, far float64, skip int) (thing int, dist float64) {
	z := 0.0
	for range 220 {
		p := o.Add(dir.Mul(z))
		best, who := t.nearest(p, skip)
		if best < 0.0004*(z+20)*0.1 {
			return who, z
		}
		z += max(best*0.92, 0.002)
		if z > far {
			break
		}
	}
	return -1, far
}

// doubt is how far a distance read from a lattice may be off, in steps: half the
// diagonal of a cell, as no distance changes by more than the way gone.
const doubt = 0.87

// around lists, as bits, the solid things of which one is the nearest at p.
func (t *tracer) around(p vec.V) uint64 {
	if t.all.Outside(p) {
		return 1<<len(t.solid) - 1
	}
	n, at := t.all.Node(p)
	if m := t.about[n]; m != 0 {
		return m
	}
	least := math.Inf(1)
	for k, i := range t.solid {
		b := t.s.Things[i].Solid
		t.near[k] = b.Near(at)
		if !b.Outside(at) { // outside its box only a lower bound is known
			least = min(least, t.near[k]+doubt*b.Step())
		}
	}
	var m uint64
	for k, d := range t.near {
		// p is within half a diagonal of the point, where no distance differs by more.
		if d-doubt*t.s.Things[t.solid[k]].Solid.Step() <= least+2*doubt*t.all.Step() {
			m |= 1 << k
		}
	}
	t.about[n] = m
	return m
}

// nearest is the distance to the nearest thing, and which that is: exact within
// one and a half steps of the lattice of all things; farther off it may be a
// lower bound, of no thing (-1).
func (t *tracer) nearest(p vec.V, skip int) (best float64, who int) {
	best, who = math.Inf(1), -1
	try := func(list []int) {
		for _, i := range list {
			if i == skip {
				continue
			}
			if d := t.s.Things[i].Solid.Exact(p); d < best {
				best, who = d, i
			}
		}
	}
	try(t.ghosts)
	try(t.thin)
	if t.all == nil {
		return best, who
	}
	if d := t.all.Near(p); d > 2*t.all.Step() {
		return min(best, d-doubt*t.all.Step()), who
	}
	// The likeliest first; the others only where their lattice does not rule them out.
	first, least := -1, math.Inf(1)
	likely := t.around(p)
	near := t.near
	for m := likely; m != 0; m &= m - 1 {
		k := bits.TrailingZeros64(m)
		if i := t.solid[k]; i != skip {
			d := t.s.Things[i].Solid.Near(p)
			near[k] = d
			if d < least {
				first, least = k, d
			}
		}
	}
	if first < 0 {
		return best, who
	}
	if d := t.s.Things[t.solid[first]].Solid.Exact(p); d < best {
		best, who = d, t.solid[first]
	}
	for m := likely; m != 0; m &= m - 1 {
		k := bits.TrailingZeros64(m)
		i := t.solid[k]
		if b := t.s.Things[i].Solid; k != first && i != skip && near[k]-doubt*b.Step() < best {
			if d := b.Exact(p); d < best {
				best, who = d, i
			}
		}
	}
	return best, who
}

// clear tells how much light passes along a ray, by the lattice.
func (t *tracer) clear(o, dir vec.V, far float64) float64 {
	z, pass := 0.12, 1.0
	for range 70 {
		p := o.Add(dir.Mul(z))
		best := math.Inf(1)
		if t.all != nil {
			if t.all.Outside(p) && len(t.thin) == 0 {
				return pass // a ray that has left the box of all things does not come back
			}
			if best = t.all.Near(p); best < 1.2*t.all.Step() {
				best = math.Inf(1)
				for m := t.around(p); m != 0; m &= m - 1 {
					best = min(best, t.s.Things[t.solid[bits.TrailingZeros64(m)]].Solid.Near(p))
				}
			}
			if best < 0.01-0.05*max(0, 1-z) {
				return 0
			}
		}
		for _, i := range t.thin {
			d := t.s.Things[i].Solid.Near(p)
			if d < 0.02 {
				pass *= math.Sqrt(t.s.Things[i].Veil)
				d = 0.3
			}
			best = min(best, d)
		}
		z += max(best, 0.06+0.02*z)
		if z >= far {
			return pass
		}
	}
	return pass
}

func (t *tracer) back(dir vec.V) float64 {
	if t.s.Back != nil {
		return t.s.Back(dir)
	}
	return t.s.Room(dir)
}

// see is the light that comes back along a ray.
func (t *tracer) see(o, dir vec.V, r *dice, depth int) float64 {
	who, z := t.march(o, dir, t.s.Far, -1)
	if who < 0 {
		return t.back(dir)
	}
	th := &t.s.Things[who]
	p := o.Add(dir.Mul(z))
	v := t.shade(th, p, dir, r, depth)
	if th.Veil > 0 {
		behind := t.through(p, dir, r, who, depth)
		v = v*(1-th.Veil) + behind*th.Veil
	}
	if t.s.Haze > 0 {
		k := math.Exp(-t.s.Haze * z / 100)
		v = v*k + t.back(vec.V{X: dir.X, Y: max(dir.Y, 0), Z: dir.Z})*(1-k)
	}
	return v
}

func (t *tracer) through(p, dir vec.V, r *dice, who, depth int) float64 {
	if depth > 2 {
		return 0
	}
	other, z := t.march(p, dir, t.s.Far, who)
	if other < 0 {
		return t.back(dir)
	}
	return t.shade(&t.s.Things[other], p.Add(dir.Mul(z)), dir, r, depth+1)
}

func (t *tracer) shade(th *Thing, p, dir vec.V, r *dice, depth int) float64 {
	n := th.Solid.Normal(p, 0.02)
	if n.Dot(dir) > 0 {
		n = n.Sub(dir.Mul(n.Dot(dir) * 1.02)).Norm()
	}
	m := th.Skin(p, n)
	bent := n.Add(m.Tilt).Norm()
	if m.Soft > 0 {
		smooth := th.Solid.Smooth(p, 0.2+0.2*m.Soft)
		bent = bent.Lerp(smooth, 0.6*m.Soft).Norm()
	}
	o := p.Add(n.Mul(0.06))
	diffuse, shine := 0.0, 0.0
	for _, w := range t.s.Windows {
		d, s := t.window(&w, o, bent, dir, &m, r)
		diffuse += d
		shine += s
	}
	if depth == 0 {
		diffuse += t.fill(o, n, bent, r)
	} else {
		diffuse += 0.5 * t.s.Room(bent)
	}
	v := m.Albedo*diffuse + shine
	if m.Mirror > 0 && depth < 2 {
		ref := dir.Sub(bent.Mul(2 * dir.Dot(bent))).Norm()
		fres := m.Mirror + (1-m.Mirror)*math.Pow(1-max(0, -dir.Dot(bent)), 5)*0.8
		v = v*(1-fres) + fres*t.see(o, ref, r, depth+2)
	}
	return v
}

// window adds one sample of a rectangular light.
func (t *tracer) window(w *Window, o, n, dir vec.V, m *Surface, r *dice) (diffuse, shine float64) {
	at := w.Centre.Add(w.U.Mul(2*r.next() - 1)).Add(w.V.Mul(2*r.next() - 1))
	l := at.Sub(o)
	d2 := l.Dot(l)
	d := math.Sqrt(d2)
	l = l.Mul(1 / d)
	face := w.U.Cross(w.V)
	area := 4 * face.Len()
	facing := math.Abs(face.Norm().Dot(l))
	power := w.Power * area * facing / d2
	cos := n.Dot(l)
	lit := max(0, cos)
	if m.Soft > 0 {
		k := 0.35 * m.Soft
		lit = max(0, (cos+k)/(1+k))
		lit *= lit * (1 - 0.3*m.Soft*(1-lit)) / max(lit, 1e-6)
	}
	if m.Hair != (vec.V{}) {
		h := m.Hair.Dot(l)
		lit = 0.55*lit + 0.45*math.Sqrt(max(0, 1-h*h))*max(0, min(1, cos+0.5))
	}
	if lit <= 0 {
		return 0, 0
	}
	pass := t.clear(o, l, d)
	if pass == 0 {
		return 0, 0
	}
	diffuse = power * lit * pass / math.Pi
	if m.Gloss > 0 {
		half := l.Sub(dir).Norm()
		c := max(0, n.Dot(half))
		if m.Hair != (vec.V{}) {
			h := m.Hair.Dot(half)
			c = math.Sqrt(max(0, 1-h*h)) * max(0, min(1, cos*2))
		}
		f := 0.04 + 0.96*math.Pow(1-max(0, l.Dot(half)), 5)
		shine = power * pass * max(cos, 0) * m.Gloss * (0.4 + f) * (m.Sharp + 8) / (8 * math.Pi) * math.Pow(c, m.Sharp) * 0.5
	}
	return diffuse, shine
}

// fill adds one sample of the surroundings; where the ray meets a thing, what that thing gives back is guessed.
func (t *tracer) fill(o, n, bent vec.V, r *dice) float64 {
	u, v := frameOf(bent)
	a, q := 2*math.Pi*r.next(), r.next()
	s, c := math.Sqrt(q), math.Sqrt(1-q)
	dir := u.Mul(s * math.Cos(a)).Add(v.Mul(s * math.Sin(a))).Add(bent.Mul(c))
	if dir.Dot(n) < 0 {
		dir = dir.Sub(n.Mul(2 * dir.Dot(n)))
	}
	pass := t.clear(o, dir, 45)
	room := t.s.Room(dir)
	return room * (pass + (1-pass)*0.12)
}
