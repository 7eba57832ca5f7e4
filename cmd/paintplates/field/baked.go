package field

import (
	"math"

	"sandarac/cmd/paintplates/vec"
)

// Baked remembers a solid's distances on a lattice, each computed when first asked for. Shadow and sky rays march
// on the lattice alone; primary rays use it until they are near. Not for use by several goroutines.
type Baked struct {
	exact   SDF
	lo, hi  vec.V
	step    float64
	nx, ny  int
	nz      int
	lattice []float32
}

// Bake prepares a lattice of about n cells along the longest side of the box from lo to hi, which must hold the
// whole solid.
func Bake(f SDF, lo, hi vec.V, n int) *Baked {
	d := hi.Sub(lo)
	step := max(d.X, max(d.Y, d.Z)) / float64(n)
	count := func(l float64) int { return int(math.Ceil(l/step)) + 2 }
	b := &Baked{exact: f, lo: lo, hi: hi, step: step, nx: count(d.X), ny: count(d.Y), nz: count(d.Z)}
	b.lattice = make([]float32, b.nx*b.ny*b.nz)
	return b
}

// Bounds are the corners of the box.
func (b *Baked) Bounds() (lo, hi vec.V) { return b.lo, b.hi }

// Step is the side of a cell.
func (b *Baked) Step() float64 { return b.step }

// Node is the lattice point nearest to p, which must lie within the box, and its number.
func (b *Baked) Node(p vec.V) (number int, at vec.V) {
	inv := 1 / b.step
	x, y, z := int((p.X-b.lo.X)*inv+0.5), int((p.Y-b.lo.Y)*inv+0.5), int((p.Z-b.lo.Z)*inv+0.5)
	at = vec.V{X: b.lo.X + float64(x)*b.step, Y: b.lo.Y + float64(y)*b.step, Z: b.lo.Z + float64(z)*b.step}
	return x + b.nx*(y+b.ny*z), at
}

// Nodes is how many lattice points there are.
func (b *Baked) Nodes() int { return len(b.lattice) }

// Outside tells whether p is beyond the box.
func (b *Baked) Outside(p vec.V) bool { return b.outside(p) > 0 }

// outside is the distance to the box, 0 within it.
func (b *Baked) outside(p vec.V) float64 {
	x := max(0, max(b.lo.X-p.X, p.X-b.hi.X))
	y := max(0, max(b.lo.Y-p.Y, p.Y-b.hi.Y))
	z := max(0, max(b.lo.Z-p.Z, p.Z-b.hi.Z))
	if x == 0 && y == 0 && z == 0 {
		return 0
	}
	return math.Sqrt(x*x + y*y + z*z)
}

// Near is the distance by the lattice, good to a fraction of a cell.
func (b *Baked) Near(p vec.V) float64 {
	if d := b.outside(p); d > 0 {
		return d + 0.25*b.step
	}
	inv := 1 / b.step
	fx, fy, fz := (p.X-b.lo.X)*inv, (p.Y-b.lo.Y)*inv, (p.Z-b.lo.Z)*inv
	ix, iy, iz := int(fx), int(fy), int(fz)
	tx, ty, tz := fx-float64(ix), fy-float64(iy), fz-float64(iz)
	base := ix + b.nx*(iy+b.ny*iz)
	up, deep := b.nx, b.nx*b.ny
	at := func(i, x, y, z int) float64 {
		if v := b.lattice[i]; v != 0 {
			return float64(v)
		}
		v := b.exact(vec.V{X: b.lo.X + float64(x)*b.step, Y: b.lo.Y + float64(y)*b.step, Z: b.lo.Z + float64(z)*b.step})
		b.lattice[i] = float32(v)
		return v
	}
	a := at(base, ix, iy, iz)
	c := at(base+1, ix+1, iy, iz)
	d := at(base+up, ix, iy+1, iz)
	e := at(base+up+1, ix+1, iy+1, iz)
	f := at(base+deep, ix, iy, iz+1)
	g := at(base+deep+1, ix+1, iy, iz+1)
	h := at(base+deep+up, ix, iy+1, iz+1)
	i := at(base+deep+up+1, ix+1, iy+1, iz+1)
	l1, l2 := a+(c-a)*tx, d+(e-d)*tx
	h1, h2 := f+(g-f)*tx, h+(i-h)*tx
	low, high := l1+(l2-l1)*ty, h1+(h2-h1)*ty
	return low + (high-low)*tz
}

// Exact is the distance, from the lattice while that is more than a cell and a half away.
func (b *Baked) Exact(p vec.V) float64 {
	d := b.Near(p)
	if d > 1.5*b.step {
		return d - 0.5*b.step
	}
	return b.exact(p)
}

// Normal is the outward direction, by differences over eps.
func (b *Baked) Normal(p vec.V, eps float64) vec.V { return slope(b.exact, p, eps) }

// Smooth is the outward direction by the lattice, which knows no finer detail than its cells.
func (b *Baked) Smooth(p vec.V, eps float64) vec.V { return slope(b.Near, p, eps) }

// slope takes the gradient with four calls, at the corners of a tetrahedron.
func slope(f SDF, p vec.V, eps float64) vec.V {
	k1, k2 := vec.V{X: 1, Y: -1, Z: -1}, vec.V{X: -1, Y: -1, Z: 1}
	k3, k4 := vec.V{X: -1, Y: 1, Z: -1}, vec.V{X: 1, Y: 1, Z: 1}
	n := k1.Mul(f(p.Add(k1.Mul(eps)))).Add(k2.Mul(f(p.Add(k2.Mul(eps)))))
	n = n.Add(k3.Mul(f(p.Add(k3.Mul(eps))))).Add(k4.Mul(f(p.Add(k4.Mul(eps)))))
	return n.Norm()
}
