// Package vec holds the vectors and rotations the painter works with: right-handed, lengths in centimetres.
package vec

import "math"

// V is a point or direction: x to the right of the picture, y up, z towards the camera.
type V struct{ X, Y, Z float64 }

// New returns (x, y, z).
func New(x, y, z float64) V { return V{x, y, z} }

func (a V) Add(b V) V             { return V{a.X + b.X, a.Y + b.Y, a.Z + b.Z} }
func (a V) Sub(b V) V             { return V{a.X - b.X, a.Y - b.Y, a.Z - b.Z} }
func (a V) Mul(s float64) V       { return V{a.X * s, a.Y * s, a.Z * s} }
func (a V) Times(b V) V           { return V{a.X * b.X, a.Y * b.Y, a.Z * b.Z} }
func (a V) Dot(b V) float64       { return a.X*b.X + a.Y*b.Y + a.Z*b.Z }
func (a V) Len() float64          { return math.Sqrt(a.Dot(a)) }
func (a V) Lerp(b V, t float64) V { return a.Add(b.Sub(a).Mul(t)) }

// Cross is the vector product a × b.
func (a V) Cross(b V) V {
	return V{a.Y*b.Z - a.Z*b.Y, a.Z*b.X - a.X*b.Z, a.X*b.Y - a.Y*b.X}
}

// Norm returns a at length one; the null vector stays null.
func (a V) Norm() V {
	l := a.Len()
	if l == 0 {
		return a
	}
	return a.Mul(1 / l)
}

// Turn is a rotation, kept as its three rows.
type Turn struct{ X, Y, Z V }

// Still turns nothing.
var Still = Turn{V{1, 0, 0}, V{0, 1, 0}, V{0, 0, 1}}

// Turned is the rotation by yaw (about y), then pitch (about x), then roll (about z), in degrees.
// Positive yaw turns the +z side towards +x, positive pitch lowers it, positive roll leans the top to −x.
func Turned(yaw, pitch, roll float64) Turn {
	y, p, r := yaw*math.Pi/180, pitch*math.Pi/180, roll*math.Pi/180
	cy, sy, cp, sp, cr, sr := math.Cos(y), math.Sin(y), math.Cos(p), math.Sin(p), math.Cos(r), math.Sin(r)
	ry := Turn{V{cy, 0, sy}, V{0, 1, 0}, V{-sy, 0, cy}}
	rp := Turn{V{1, 0, 0}, V{0, cp, -sp}, V{0, sp, cp}}
	rr := Turn{V{cr, -sr, 0}, V{sr, cr, 0}, V{0, 0, 1}}
	return ry.After(rp).After(rr)
}

// Apply rotates v.
func (t Turn) Apply(v V) V { return V{t.X.Dot(v), t.Y.Dot(v), t.Z.Dot(v)} }

// Undo rotates v back: a rotation's inverse is its transpose.
func (t Turn) Undo(v V) V {
	return V{
		t.X.X*v.X + t.Y.X*v.Y + t.Z.X*v.Z,
		t.X.Y*v.X + t.Y.Y*v.Y + t.Z.Y*v.Z,
		t.X.Z*v.X + t.Y.Z*v.Y + t.Z.Z*v.Z,
	}
}

// After is the rotation that does u first and then t.
func (t Turn) After(u Turn) Turn {
	c := func(r V) V {
		return V{
			r.X*u.X.X + r.Y*u.Y.X + r.Z*u.Z.X,
			r.X*u.X.Y + r.Y*u.Y.Y + r.Z*u.Z.Y,
			r.X*u.X.Z + r.Y*u.Y.Z + r.Z*u.Z.Z,
		}
	}
	return Turn{c(t.X), c(t.Y), c(t.Z)}
}
