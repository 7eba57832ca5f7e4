package field

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"sandarac/cmd/paintplates/vec"
)

func TestDistances(t *testing.T) {
	for _, c := range []struct {
		name string
		f    SDF
		p    vec.V
		want float64
	}{
		{"ball", Ball(vec.New(1, 0, 0), 2), vec.New(6, 0, 0), 3},
		{"inside a ball", Ball(vec.V{}, 2), vec.V{}, -2},
		{"box corner", Box(vec.V{}, vec.New(1, 1, 1), 0), vec.New(4, 5, 1), 5},
		{"rod side", Rod(vec.New(0, 0, 0), vec.New(0, 10, 0), 1, 1), vec.New(4, 5, 0), 3},
		{"ring", Ring(vec.V{}, 5, 1), vec.New(9, 0, 0), 3},
		{"drum top", Drum(vec.V{}, 3, 4, 0.5), vec.New(1, 9, 0), 5},
		{"plane", Plane(vec.New(0, 2, 0), vec.New(0, 1, 0)), vec.New(7, 5, 1), 3},
		{"turned", Turned(vec.V{}, [][2]float64{{0, 0}, {3, 0}, {3, 8}, {0, 8}}, 0), vec.New(5, 4, 0), 2},
		{"inside turned", Turned(vec.V{}, [][2]float64{{0, 0}, {3, 0}, {3, 8}, {0, 8}}, 0), vec.New(2, 4, 0), -1},
		{"egg as a ball", Egg(vec.V{}, vec.New(2, 2, 2)), vec.New(0, 5, 0), 3},
	} {
		if got := c.f(c.p); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// A blend is never above the plain minimum and at most a quarter of the fillet below it.
func TestSminBounds(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		a, b := rapid.Float64Range(-20, 20).Draw(r, "a"), rapid.Float64Range(-20, 20).Draw(r, "b")
		k := rapid.Float64Range(0.01, 5).Draw(r, "k")
		got, least := Smin(a, b, k), math.Min(a, b)
		if got > least+1e-12 || got < least-k/4-1e-12 {
			r.Fatalf("Smin(%v, %v, %v) = %v", a, b, k, got)
		}
	})
}

// The lattice agrees with a smooth solid to a fraction of its cell.
func TestBakedIsNear(t *testing.T) {
	b := Bake(Ball(vec.V{}, 5), vec.New(-7, -7, -7), vec.New(7, 7, 7), 70)
	rapid.Check(t, func(r *rapid.T) {
		p := vec.New(rapid.Float64Range(-6.9, 6.9).Draw(r, "x"), rapid.Float64Range(-6.9, 6.9).Draw(r, "y"), rapid.Float64Range(-6.9, 6.9).Draw(r, "z"))
		if p.Len() < 1 {
			return
		}
		if d := math.Abs(b.Near(p) - (p.Len() - 5)); d > 0.1*b.Step() {
			r.Fatalf("off by %v at %v", d, p)
		}
	})
}

// Outside its box a lattice never promises more room than there is.
func TestBakedOutsideIsSafe(t *testing.T) {
	b := Bake(Ball(vec.V{}, 5), vec.New(-5.6, -5.6, -5.6), vec.New(5.6, 5.6, 5.6), 40)
	rapid.Check(t, func(r *rapid.T) {
		p := vec.New(rapid.Float64Range(-30, 30).Draw(r, "x"), rapid.Float64Range(-30, 30).Draw(r, "y"), rapid.Float64Range(6, 30).Draw(r, "z"))
		if got, want := b.Near(p), p.Len()-5; got > want+1e-9 {
			r.Fatalf("Near %v, really %v", got, want)
		}
	})
}
