package field

import (
	"math"

	"sandarac/cmd/paintplates/vec"
)

// Smin is the smaller of two distances with a fillet of about k where they meet (quadratic blend).
func Smin(a, b, k float64) float64 {
	h := max(k-math.Abs(a-b), 0) / k
	return min(a, b) - h*h*k/4
}

// Smax is the larger of two distances, blended alike.
func Smax(a, b, k float64) float64 { return -Smin(-a, -b, k) }

// Melt joins solids with fillets of k.
func Melt(k float64, parts ...SDF) SDF {
	return func(p vec.V) float64 {
		d := parts[0](p)
		for _, f := range parts[1:] {
			d = Smin(d, f(p), k)
		}
		return d
	}
}

// Union joins solids sharply.
func Union(parts ...SDF) SDF {
	return func(p vec.V) float64 {
		d := parts[0](p)
		for _, f := range parts[1:] {
			d = min(d, f(p))
		}
		return d
	}
}

// Carve takes tool away from body with a fillet of k.
func Carve(k float64, body, tool SDF) SDF {
	return func(p vec.V) float64 { return Smax(body(p), -tool(p), k) }
}

// Common is what solids share, blended by k.
func Common(k float64, a, b SDF) SDF {
	return func(p vec.V) float64 { return Smax(a(p), b(p), k) }
}

// Mirror makes a solid symmetric about x = 0 by its half with x ≥ 0.
func Mirror(f SDF) SDF {
	return func(p vec.V) float64 { return f(vec.V{X: math.Abs(p.X), Y: p.Y, Z: p.Z}) }
}

// Placed turns a solid about the origin and then moves it to c.
func Placed(f SDF, c vec.V, t vec.Turn) SDF {
	return func(p vec.V) float64 { return f(t.Undo(p.Sub(c))) }
}

// Scaled makes a solid s times as large.
func Scaled(f SDF, s float64) SDF {
	return func(p vec.V) float64 { return f(p.Mul(1/s)) * s }
}

// Rough pushes the surface out by bump; step shortens distances so that the march does not jump through.
func Rough(f SDF, step float64, bump func(p vec.V) float64) SDF {
	return func(p vec.V) float64 {
		d := f(p)
		if d > 3 {
			return d - 1
		}
		return (d - bump(p)) * step
	}
}
