package icc

import (
	"math"
	"testing"
)

// Values of the project's notes on standards, by formula and equal to lcms.
func TestAdobeRGB(t *testing.T) {
	for _, c := range [][2][3]uint16{
		{{128, 128, 128}, {129, 129, 129}},
		{{200, 100, 50}, {227, 100, 42}},
		{{0, 255, 0}, {0, 255, 0}},
		{{64, 32, 16}, {71, 26, 6}},
		{{180, 160, 140}, {189, 161, 140}},
	} {
		r, g, b := AdobeRGB().SRGB(float64(c[0][0])/255, float64(c[0][1])/255, float64(c[0][2])/255)
		got := [3]uint16{uint16(math.Round(r * 255)), uint16(math.Round(g * 255)), uint16(math.Round(b * 255))}
		if got != c[1] {
			t.Errorf("Adobe RGB %v: got %v, want %v", c[0], got, c[1])
		}
		rr, gg, bb := []uint16{c[0][0] * 257}, []uint16{c[0][1] * 257}, []uint16{c[0][2] * 257}
		AdobeRGB().Converter().Row(rr, gg, bb)
		for i, pair := range [][2]float64{{float64(rr[0]), r}, {float64(gg[0]), g}, {float64(bb[0]), b}} {
			if math.Abs(pair[0]-pair[1]*65535) > 2.5 {
				t.Errorf("table for %v channel %d: got %v, want %v", c[0], i, pair[0], pair[1]*65535)
			}
		}
	}
}

func TestIdentity(t *testing.T) {
	if !SRGB().Identity() || AdobeRGB().Identity() {
		t.Error("sRGB is the identity, Adobe RGB is not")
	}
	if p := (&Profile{Grey: true, trc: [3]curve{gamma(2.2)}}); p.Identity() {
		t.Error("gamma 2.2 is not the identity")
	}
}

// Values of the project's notes on standards: grey gammas to sRGB by formula.
func TestGreyGamma(t *testing.T) {
	for _, c := range []struct{ gamma, in, want float64 }{
		{2.2, 16, 7.456}, {2.2, 64, 61.739}, {2.2, 128, 128.998}, {2.2, 192, 193.382},
		{1.8, 64, 81.369}, {1.8, 128, 146.408}, {1, 64, 137.207}, {1, 128, 187.845},
	} {
		p := &Profile{Grey: true, trc: [3]curve{gamma(c.gamma)}}
		got, _, _ := p.SRGB(c.in/255, 0, 0)
		if math.Abs(got*255-c.want) > 0.001 {
			t.Errorf("gamma %v, %v: got %.3f, want %v", c.gamma, c.in, got*255, c.want)
		}
		if v := float64(p.GreyTable()[int(c.in)*257]); math.Abs(v/257-c.want) > 0.003 {
			t.Errorf("table, gamma %v, %v: got %.3f, want %v", c.gamma, c.in, v/257, c.want)
		}
	}
}
