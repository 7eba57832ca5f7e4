package main

import (
	"context"
	"math"
	"testing"

	"sandarac/archive/record"
	"sandarac/cmd/paintplates/emulsion"
	"sandarac/cmd/paintplates/scenes"
)

// Every plate of the archive that names a scan has a scene, and the scan it names is the one that is painted.
func TestEveryPlateHasItsScene(t *testing.T) {
	a, _, err := record.Read(context.Background(), "../../plates/archive")
	if err != nil {
		t.Fatal(err)
	}
	painted := 0
	for _, p := range a.Plates {
		j, ok := jobFor(p)
		if !ok {
			if len(p.Scans) > 0 {
				t.Errorf("%s names a scan that nothing paints", p.ID)
			}
			continue
		}
		painted++
		if len(p.Scans) != 1 || p.Scans[0] != j.file {
			t.Errorf("%s: the record names %v, the painter writes %s", p.ID, p.Scans, j.file)
		}
		if _, err := scenes.Named(j.name, p.Light.Kind, j.number); err != nil {
			t.Errorf("%s: %v", p.ID, err)
		}
		if long := math.Max(j.pour.WidthMM, j.pour.HeightMM) * float64(j.pour.PPI) / 25.4; long < 900 || long > 1700 {
			t.Errorf("%s: long side %.0f pixels", p.ID, long)
		}
	}
	if painted < 44 {
		t.Errorf("%d plates painted", painted)
	}
}

func TestUnknownSceneIsAnError(t *testing.T) {
	if _, err := scenes.Named("no-such-plate", "open shade", 1); err == nil {
		t.Error("want an error")
	}
}

// Stored on its side, shown upright: turning the stored picture right by 90° (EXIF 2.32, orientation 6) gives back
// the plate.
func TestSideways(t *testing.T) {
	s := &emulsion.Sheet{W: 3, H: 2, Pix: make([][3]float32, 6)}
	for i := range s.Pix {
		s.Pix[i][0] = float32(i)
	}
	o := sideways(s)
	if o.W != 2 || o.H != 3 {
		t.Fatalf("stored %d × %d, want 2 × 3", o.W, o.H)
	}
	for y := range o.H {
		for x := range o.W {
			shownX, shownY := o.H-1-y, x // a quarter turn to the right
			if got, want := o.Pix[y*o.W+x], s.Pix[shownY*s.W+shownX]; got != want {
				t.Errorf("stored %d,%d: got %v, want %v", x, y, got, want)
			}
		}
	}
}

// The matrix from sRGB to the wide space keeps neutrals neutral.
func TestWideKeepsGrey(t *testing.T) {
	m := wide(&emulsion.Sheet{W: 1, H: 1, Pix: [][3]float32{{0.5, 0.5, 0.5}}})
	r, g, b, _ := m.At(0, 0).RGBA()
	if r != g || g != b {
		t.Errorf("grey became %d %d %d", r>>8, g>>8, b>>8)
	}
	// sRGB 128 is 129 under a gamma of 563/256 (formula; checked for the reverse direction with libvips).
	if v := wideGrey(128); math.Abs(v-127) > 1.01 {
		t.Errorf("sRGB 128 encodes to %.1f, want about 127", v)
	}
}

func wideGrey(v float64) float64 { return 255 * math.Pow(linearOf(v/255), 256.0/563) }
