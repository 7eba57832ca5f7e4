package emulsion

import (
	"math"
	"testing"

	"sandarac/cmd/paintplates/light"
)

// grey is a frame of one exposure.
func grey(e float64) *light.Frame {
	f := &light.Frame{W: 40, H: 30, Pix: make([]float64, 1200)}
	for i := range f.Pix {
		f.Pix[i] = e
	}
	return f
}

func plate(flaws ...string) Plate {
	return Plate{WidthMM: 63.5, HeightMM: 50.8, PPI: 80, Support: "tin", Judged: "right", Flaws: flaws, Seed: 3}
}

// middle is the mean green of the inner half.
func middle(s *Sheet) float64 {
	sum, n := 0.0, 0
	for y := s.H / 4; y < 3*s.H/4; y++ {
		for x := s.W / 4; x < 3*s.W/4; x++ {
			sum += float64(s.Pix[y*s.W+x][1])
			n++
		}
	}
	return sum / float64(n)
}

func TestSizeFollowsFormatAndResolution(t *testing.T) {
	s := Make(grey(0.2), plate())
	if s.W != 200 || s.H != 160 {
		t.Errorf("%d × %d pixels, want 200 × 160 (63.5 × 50.8 mm at 80 ppi)", s.W, s.H)
	}
}

// A positive grows lighter with exposure, and a judged plate shows its judgement.
func TestToneFollowsExposure(t *testing.T) {
	last := -1.0
	for _, e := range []float64{0.01, 0.05, 0.2, 0.8} {
		m := middle(Make(grey(e), plate()))
		if m <= last {
			t.Errorf("exposure %v gives %v, not lighter than %v", e, m, last)
		}
		last = m
	}
	under, over := plate(), plate()
	under.Judged, over.Judged = "under", "over"
	if u, r, o := middle(Make(grey(0.2), under)), middle(Make(grey(0.2), plate())), middle(Make(grey(0.2), over)); !(u < r && r < o) {
		t.Errorf("under %v, right %v, over %v", u, r, o)
	}
}

// Every flaw that is drawn changes the plate.
func TestFlawsShow(t *testing.T) {
	clean := Make(grey(0.2), plate())
	slugs := []string{"thin", "flat", "ridges", "cut-off"}
	for _, d := range drawers {
		slugs = append(slugs, d.slug)
	}
	for _, slug := range slugs {
		s := Make(grey(0.2), plate(slug))
		sum := 0.0
		for i := range s.Pix {
			sum += math.Abs(float64(s.Pix[i][1] - clean.Pix[i][1]))
		}
		if d := 255 * sum / float64(len(s.Pix)); d < 0.02 {
			t.Errorf("%s: mean change %.3f of 255", slug, d)
		}
	}
}

func TestRepeatable(t *testing.T) {
	a, b := Make(grey(0.2), plate("comets", "oysters")), Make(grey(0.2), plate("comets", "oysters"))
	for i := range a.Pix {
		if a.Pix[i] != b.Pix[i] {
			t.Fatalf("pixel %d differs", i)
		}
	}
}

func TestMovementDoublesAnEdge(t *testing.T) {
	f := grey(0.02)
	for y := range f.H {
		for x := 20; x < 40; x++ {
			f.Pix[y*f.W+x] = 0.8
		}
	}
	sharp, moved := Make(f, plate()), Make(f, plate("movement"))
	diff := 0.0
	for i := range sharp.Pix {
		diff += math.Abs(float64(sharp.Pix[i][1] - moved.Pix[i][1]))
	}
	if diff/float64(len(sharp.Pix)) < 0.001 {
		t.Error("a moved sitter looks as if he had held still")
	}
}
