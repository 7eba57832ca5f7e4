package icc

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"

	"sandarac/archive/scan/sample"
)

// dotGain is a curve that is no simple gamma, like Adobe's "Dot Gain 20%".
func dotGain(x float64) float64 { return math.Pow(x, 1.75) * (0.9 + 0.1*x) }

// The outside check: transicc of Little CMS, same profile, to an sRGB profile,
// relative colorimetric, floating point. The sRGB profile is ours because the
// one built into lcms has a matrix that differs in the fourth digit, which in
// the steep start of the curve is 0.4 of an 8-bit step.
func TestAgainstLittleCMS(t *testing.T) {
	for name, data := range map[string][]byte{
		"adobe v2":        sample.AdobeRGB(),
		"srgb v4 para 3":  sample.SRGB(),
		"prophoto para 0": sample.RGB(4, "wide", sample.ProPhotoColumns, sample.Para(0, 1.8)),
		"para 1":          sample.RGB(4, "one", sample.AdobeColumns, sample.Para(1, 2.2, 0.95, 0.05)),
		"para 2":          sample.RGB(4, "two", sample.SRGBColumns, sample.Para(2, 2.0, 0.9, 0.05, 0.02)),
		"para 4":          sample.RGB(4, "four", sample.SRGBColumns, sample.Para(4, 2.4, 0.9479, 0.0521, 0.0774, 0.0405, 0.001, 0.001)),
		"linear":          sample.RGB(2, "linear", sample.SRGBColumns, sample.Linear()),
		"table":           sample.RGB(2, "table", sample.AdobeColumns, sample.Table(1024, dotGain)),
		"grey 2.2 v2":     sample.Grey(2, "Gray Gamma 2.2", sample.Gamma(2.2), "XYZ "),
		"grey 1.8 v4":     sample.Grey(4, "Gray Gamma 1.8", sample.Para(0, 1.8), "XYZ "),
		"grey dot gain":   sample.Grey(2, "Dot Gain", sample.Table(256, dotGain), "XYZ "),
		"grey L*":         sample.Grey(4, "L*", sample.Linear(), "Lab "),
	} {
		t.Run(name, func(t *testing.T) {
			p, err := Parse(data)
			if err != nil {
				t.Fatal(err)
			}
			path := sample.Write(t, "p.icc", data)
			colours := [][3]float64{{0, 0, 0}, {255, 255, 255}, {16, 16, 16}, {64, 64, 64}, {128, 128, 128}, {192, 192, 192}, {200, 100, 50}, {64, 32, 16}, {180, 160, 140}, {0, 255, 0}, {12, 200, 130}}
			var in bytes.Buffer
			for _, c := range colours {
				if p.Grey {
					c[1], c[2] = c[0], c[0]
					fmt.Fprintf(&in, "%v\n", c[0])
				} else {
					fmt.Fprintf(&in, "%v %v %v\n", c[0], c[1], c[2])
				}
			}
			out := sample.ToolIn(t, in.Bytes(), "transicc", "-n", "-t1", "-c0", "-i", path, "-o", sample.Write(t, "srgb.icc", sample.SRGB()))
			lines := strings.Split(strings.TrimSpace(string(out)), "\n")
			if len(lines) != len(colours) {
				t.Fatalf("transicc gave %d lines:\n%s", len(lines), out)
			}
			for i, c := range colours {
				r, g, b := p.SRGB(c[0]/255, c[1]/255, c[2]/255)
				for ch, field := range strings.Fields(lines[i]) {
					want, err := strconv.ParseFloat(field, 64)
					if err != nil {
						t.Fatal(err)
					}
					want = math.Max(0, math.Min(255, want))
					if got := []float64{r, g, b}[ch] * 255; math.Abs(got-want) > 0.1 {
						t.Errorf("%v channel %d: got %.3f, lcms %.3f", c, ch, got, want)
					}
				}
			}
		})
	}
}

func TestNames(t *testing.T) {
	for want, data := range map[string][]byte{"Adobe RGB (1998)": sample.AdobeRGB(), "sRGB": sample.SRGB()} {
		p, err := Parse(data)
		if err != nil || p.Description != want {
			t.Errorf("got %q, %v; want %q", p.Description, err, want)
		}
	}
}

func TestRefused(t *testing.T) {
	good := sample.AdobeRGB()
	cut := good[:len(good)-40]
	for name, data := range map[string][]byte{
		"empty":   nil,
		"cut":     cut,
		"zeros":   make([]byte, 4096),
		"cmyk":    sample.Profile(2, "prtr", "CMYK", "Lab ", nil),
		"lut":     sample.Profile(2, "scnr", "RGB ", "Lab ", [][2]any{{"A2B0", []byte("mft2\x00\x00\x00\x00")}}),
		"link":    sample.Profile(2, "link", "RGB ", "RGB ", nil),
		"version": sample.Profile(5, "mntr", "RGB ", "XYZ ", nil),
		"flat":    sample.RGB(2, "flat", [3][3]float64{}, sample.Linear()),
	} {
		if p, err := Parse(data); err == nil {
			t.Errorf("%s: accepted as %+v", name, p)
		} else if err.Error() == "" {
			t.Errorf("%s: no words", name)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, data := range [][]byte{sample.AdobeRGB(), sample.SRGB(), sample.Grey(2, "g", sample.Table(16, dotGain), "XYZ "), sample.Profile(2, "prtr", "CMYK", "Lab ", nil)} {
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, err := Parse(data)
		if err != nil {
			return
		}
		for _, v := range []float64{0, 0.25, 1} {
			r, g, b := p.SRGB(v, v, v)
			for _, x := range []float64{r, g, b} {
				if !(x >= 0 && x <= 1) {
					t.Fatalf("%v became %v", v, x)
				}
			}
		}
	})
}
