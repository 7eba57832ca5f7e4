package scanfile

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/color"
	"image/jpeg"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/image/tiff"
)

func ramp(w, h int) *image.Gray {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetGray(x, y, color.Gray{Y: uint8(255 * x / w)})
		}
	}
	return m
}

// TIFF is read back by another implementation, golang.org/x/image/tiff, to the last bit.
func TestTIFFReadsBack(t *testing.T) {
	for _, channels := range []int{1, 3} {
		d := Deep{Width: 37, Height: 11, Channels: channels}
		for i := range d.Width * d.Height * channels {
			d.Pix = append(d.Pix, uint16(i*977))
		}
		b, err := TIFF(d, Tags{PPI: 300, Profile: GreyGamma(2.2)})
		if err != nil {
			t.Fatal(err)
		}
		m, err := tiff.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		for y := range d.Height {
			for x := range d.Width {
				r, g, bl, _ := m.At(x, y).RGBA()
				i := (y*d.Width + x) * channels
				want := [3]uint16{d.Pix[i], d.Pix[i], d.Pix[i]}
				if channels == 3 {
					want = [3]uint16(d.Pix[i : i+3])
				}
				if got := [3]uint16{uint16(r), uint16(g), uint16(bl)}; got != want {
					t.Fatalf("%d channels, pixel %d,%d: got %v, want %v", channels, x, y, got, want)
				}
			}
		}
	}
}

// ExifTool, an independent reader, finds the resolution, the orientation and the profile in each kind of file.
func TestExifToolReadsTags(t *testing.T) {
	dir := t.TempDir()
	j, err := JPEG(ramp(64, 48), 88, Tags{PPI: 240, Orientation: 6, Profile: GreyGamma(2.2)})
	if err != nil {
		t.Fatal(err)
	}
	f, err := TIFF(Deep{Width: 2, Height: 1, Channels: 3, Pix: make([]uint16, 6)}, Tags{PPI: 360, Profile: WideRGB()})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		data []byte
		want []string
	}{
		"a.jpg": {j, []string{"Orientation: 6", "XResolution: 240", "ResolutionUnit: 2", "ColorSpaceData: GRAY", "ProfileDescription: Grey, gamma 2.2"}},
		"a.tif": {f, []string{"Orientation: 1", "XResolution: 360", "BitsPerSample: 16 16 16", "Compression: 8", "ColorSpaceData: RGB", "ProfileDescription: Wide RGB, gamma 2.2"}},
	} {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, c.data, 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("exiftool", "-n", "-s2", "-a", file).CombinedOutput()
		if err != nil {
			t.Fatalf("exiftool: %v\n%s", err, out)
		}
		for _, w := range c.want {
			if !strings.Contains(string(out), w) {
				t.Errorf("%s: ExifTool does not report %q:\n%s", name, w, out)
			}
		}
		if strings.Contains(string(out), "Warning") {
			t.Errorf("%s: ExifTool warns:\n%s", name, out)
		}
	}
}

// A JPEG with all its segments still decodes, and stays grey.
func TestJPEGDecodes(t *testing.T) {
	b, err := JPEG(ramp(40, 30), 90, Tags{PPI: 200, Orientation: 6, Profile: WideRGB()})
	if err != nil {
		t.Fatal(err)
	}
	m, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if _, ok := m.(*image.Gray); !ok {
		t.Errorf("decoded as %T, want grey", m)
	}
}

// The profiles' white is D50 and the three primaries add up to it (ICC.1:2001-04, 6.1.13 and annex E).
func TestPrimariesAddToWhite(t *testing.T) {
	p := WideRGB()
	sum := [3]int32{}
	var white [3]int32
	for i := range int(binary.BigEndian.Uint32(p[128:])) {
		e := p[132+12*i:]
		body := p[binary.BigEndian.Uint32(e[4:]):]
		if string(body[:4]) != "XYZ " {
			continue
		}
		for k := range 3 {
			v := int32(binary.BigEndian.Uint32(body[8+4*k:]))
			switch string(e[:4]) {
			case "rXYZ", "gXYZ", "bXYZ":
				sum[k] += v
			case "wtpt":
				white[k] = v
			}
		}
	}
	for k := range 3 {
		if d := sum[k] - white[k]; d < -8 || d > 8 {
			t.Errorf("component %d: primaries add to %d, white is %d (units of 1/65536)", k, sum[k], white[k])
		}
	}
}
