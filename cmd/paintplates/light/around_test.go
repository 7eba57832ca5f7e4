package light

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/vec"
)

// The short list of candidates never changes which thing is nearest.
func TestNearestIsTheNearest(t *testing.T) {
	shell := field.Ball(vec.New(0, 0, 0), 9)
	inner := field.Ball(vec.New(0, 0, 0), 8.7)
	far := field.Ball(vec.New(14, 0, 0), 1) // in a box far larger than itself
	cut := field.Carve(0.2, shell, field.Plane(vec.New(2, 0, 0), vec.New(1, 0, 0)))
	s := &Scene{Things: []Thing{
		{Name: "shell", Solid: field.Bake(cut, vec.New(-10, -10, -10), vec.New(10, 10, 10), 60)},
		{Name: "inner", Solid: field.Bake(inner, vec.New(-10, -10, -10), vec.New(10, 10, 10), 60)},
		{Name: "far", Solid: field.Bake(far, vec.New(-2, -9, -9), vec.New(16, 9, 9), 40)},
	}}
	tr := newTracer(s, 1)
	rapid.Check(t, func(r *rapid.T) {
		p := vec.New(rapid.Float64Range(-10, 16).Draw(r, "x"), rapid.Float64Range(-10, 10).Draw(r, "y"), rapid.Float64Range(-10, 10).Draw(r, "z"))
		want := min(cut(p), inner(p), far(p))
		got, who := tr.nearest(p, -1)
		if got > want+1e-9 {
			r.Fatalf("at %v: %v away by the list, but %v in truth", p, got, want)
		}
		if near := 1.5 * tr.all.Step(); want > -near && want < near && (who < 0 || math.Abs(got-want) > 1e-9) {
			r.Fatalf("at %v: thing %d at %v, want distance %v", p, who, got, want)
		}
	})
}
