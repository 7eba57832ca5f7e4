package light

import (
	"math"
	"testing"

	"sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/vec"
)

func card(albedo float64) *Scene {
	s := field.Box(vec.New(0, 0, 0), vec.New(30, 30, 1), 0)
	return &Scene{
		Things: []Thing{{Name: "card", Solid: field.Bake(s, vec.New(-32, -32, -3), vec.New(32, 32, 3), 60), Skin: Plain(albedo)}},
		Room:   Even(0), Far: 1000,
		Cam: Camera{Eye: vec.New(0, 0, 200), Aim: vec.New(0, 0, 0), Height: 20},
	}
}

func mean(f *Frame) float64 {
	s := 0.0
	for _, v := range f.Pix {
		s += v
	}
	return s / float64(len(f.Pix))
}

// A small far lamp lights a white card facing it as radiometry says: E = L·A/d², exposure E/π.
func TestCardUnderALamp(t *testing.T) {
	s := card(0.5)
	s.Windows = []Window{{Centre: vec.New(0, 0, 500), U: vec.New(10, 0, 0), V: vec.New(0, 10, 0), Power: 100}}
	got := mean(Render(s, 20, 20, 4, 1))
	want := 0.5 * 100 * 400 / (500 * 500) / math.Pi
	if math.Abs(got-want) > 0.02*want {
		t.Errorf("exposure %.5f, want %.5f", got, want)
	}
}

// In an even room an unshadowed card shows its albedo times the room.
func TestCardInAnEvenRoom(t *testing.T) {
	s := card(0.6)
	s.Room = Even(0.5)
	if got := mean(Render(s, 20, 20, 4, 1)); math.Abs(got-0.3) > 1e-9 {
		t.Errorf("exposure %.5f, want 0.3", got)
	}
}

// A wall between lamp and card leaves the card dark.
func TestShadow(t *testing.T) {
	s := card(0.5)
	s.Windows = []Window{{Centre: vec.New(300, 0, 300), U: vec.New(10, 0, 0), V: vec.New(0, 10, 0), Power: 100}}
	lit := mean(Render(s, 10, 10, 4, 1))
	wall := field.Box(vec.New(60, 0, 60), vec.New(1, 60, 60), 0)
	s.Things = append(s.Things, Thing{Name: "wall", Solid: field.Bake(wall, vec.New(58, -62, -2), vec.New(62, 62, 122), 60), Skin: Plain(0.5)})
	if dark := mean(Render(s, 10, 10, 4, 1)); lit < 0.001 || dark > 0.01*lit {
		t.Errorf("lit %.5f, shadowed %.5f", lit, dark)
	}
}

// The same scene gives the same frame, to the last bit.
func TestRepeatable(t *testing.T) {
	a, b := card(0.5), card(0.5)
	a.Room, b.Room = Dome(1, 0.2), Dome(1, 0.2)
	f, g := Render(a, 16, 12, 3, 7), Render(b, 16, 12, 3, 7)
	for i := range f.Pix {
		if f.Pix[i] != g.Pix[i] {
			t.Fatalf("pixel %d: %v and %v", i, f.Pix[i], g.Pix[i])
		}
	}
}
