// Package field describes solids by signed distance: how far a point is from the surface, negative inside.
// Formulas for exact distances are the usual ones of solid geometry; an ellipsoid's is the first-order estimate
// k0(k0-1)/k1, which never oversteps by much for the flat ratios used here.
package field

import (
	"math"

	"sandarac/cmd/paintplates/vec"
)

// SDF gives the signed distance in centimetres.
type SDF func(p vec.V) float64

// Ball is a sphere.
func Ball(c vec.V, r float64) SDF {
	return func(p vec.V) float64 { return p.Sub(c).Len() - r }
}

// Egg is an ellipsoid with half axes r.
func Egg(c, r vec.V) SDF {
	ir := vec.New(1/r.X, 1/r.Y, 1/r.Z)
	ir2 := ir.Times(ir)
	least := min(r.X, min(r.Y, r.Z))
	return func(p vec.V) float64 {
		q := p.Sub(c)
		k1 := q.Times(ir2).Len()
		if k1 < 1e-9 {
			return -least
		}
		k0 := q.Times(ir).Len()
		return k0 * (k0 - 1) / k1
	}
}

// TiltedEgg is an ellipsoid turned about its centre.
func TiltedEgg(c, r vec.V, t vec.Turn) SDF {
	e := Egg(vec.V{}, r)
	return func(p vec.V) float64 { return e(t.Undo(p.Sub(c))) }
}

// Rod is a capsule whose radius runs from r1 at a to r2 at b.
func Rod(a, b vec.V, r1, r2 float64) SDF {
	ab := b.Sub(a)
	d := 1 / ab.Dot(ab)
	return func(p vec.V) float64 {
		q := p.Sub(a)
		t := min(1, max(0, q.Dot(ab)*d))
		return q.Sub(ab.Mul(t)).Len() - (r1 + (r2-r1)*t)
	}
}

// Box is a box with half sides h, edges rounded by round.
func Box(c, h vec.V, round float64) SDF {
	h = h.Sub(vec.New(round, round, round))
	return func(p vec.V) float64 {
		q := p.Sub(c)
		x, y, z := math.Abs(q.X)-h.X, math.Abs(q.Y)-h.Y, math.Abs(q.Z)-h.Z
		out := vec.New(max(x, 0), max(y, 0), max(z, 0)).Len()
		return out + min(max(x, max(y, z)), 0) - round
	}
}

// Ring is a torus about the y axis: r from the middle to the tube, t the tube's radius.
func Ring(c vec.V, r, t float64) SDF {
	return func(p vec.V) float64 {
		q := p.Sub(c)
		return math.Hypot(math.Hypot(q.X, q.Z)-r, q.Y) - t
	}
}

// Drum is an upright cylinder with half height h, edges rounded.
func Drum(c vec.V, r, h, round float64) SDF {
	return func(p vec.V) float64 {
		q := p.Sub(c)
		x, y := math.Hypot(q.X, q.Z)-r+round, math.Abs(q.Y)-h+round
		return min(max(x, y), 0) + math.Hypot(max(x, 0), max(y, 0)) - round
	}
}

// Plane is everything below the point c, seen along n (of length one).
func Plane(c, n vec.V) SDF {
	return func(p vec.V) float64 { return p.Sub(c).Dot(n) }
}

// Turned is the solid that a profile of (radius, height) pairs sweeps about the y axis through c; wall > 0 makes it
// a shell of that half thickness.
func Turned(c vec.V, profile [][2]float64, wall float64) SDF {
	return func(p vec.V) float64 {
		q := p.Sub(c)
		d := polyline(math.Hypot(q.X, q.Z), q.Y, profile)
		if wall > 0 {
			return math.Abs(d) - wall
		}
		return d
	}
}

// polyline is the signed distance to the profile closed along the axis.
func polyline(x, y float64, pts [][2]float64) float64 {
	best := math.Inf(1)
	inside := false
	n := len(pts)
	for i := range n {
		a, b := pts[i], pts[(i+1)%n]
		ex, ey := b[0]-a[0], b[1]-a[1]
		wx, wy := x-a[0], y-a[1]
		l := ex*ex + ey*ey
		t := 0.0
		if l > 0 {
			t = min(1, max(0, (wx*ex+wy*ey)/l))
		}
		dx, dy := wx-ex*t, wy-ey*t
		if onAxis := a[0] == 0 && b[0] == 0; !onAxis {
			best = min(best, dx*dx+dy*dy)
		}
		if (a[1] > y) != (b[1] > y) && x < a[0]+(y-a[1])*ex/ey {
			inside = !inside
		}
	}
	if inside {
		return -math.Sqrt(best)
	}
	return math.Sqrt(best)
}
