package vec

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func angle(r *rapid.T, name string) float64 { return rapid.Float64Range(-180, 180).Draw(r, name) }

// A turn keeps lengths, and undoing it gives the vector back.
func TestTurnsAreRigid(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		turn := Turned(angle(r, "yaw"), angle(r, "pitch"), angle(r, "roll"))
		p := New(rapid.Float64Range(-9, 9).Draw(r, "x"), rapid.Float64Range(-9, 9).Draw(r, "y"), rapid.Float64Range(-9, 9).Draw(r, "z"))
		q := turn.Apply(p)
		if math.Abs(q.Len()-p.Len()) > 1e-9 || turn.Undo(q).Sub(p).Len() > 1e-9 {
			r.Fatalf("%v became %v and back %v", p, q, turn.Undo(q))
		}
	})
}

func TestYawTurnsTheFaceToTheRight(t *testing.T) {
	if q := Turned(90, 0, 0).Apply(New(0, 0, 1)); q.Sub(New(1, 0, 0)).Len() > 1e-9 {
		t.Errorf("got %v", q)
	}
	if q := Turned(0, 90, 0).Apply(New(0, 0, 1)); q.Sub(New(0, -1, 0)).Len() > 1e-9 {
		t.Errorf("positive pitch should lower the face, got %v", q)
	}
}
