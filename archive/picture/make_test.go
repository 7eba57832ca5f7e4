package picture

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"sandarac/archive/scan/sample"
)

// makeOne makes outputs of one master in a fresh cache.
func makeOne(t testing.TB, master string, outputs ...Output) Set {
	t.Helper()
	m, err := New(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	sets, faults, err := m.Make(context.Background(), []Job{{master, outputs}}, nil)
	if err != nil || len(faults) > 0 {
		t.Fatalf("making %s: %v %v", filepath.Base(master), err, faults)
	}
	return sets[master]
}

func open(t testing.TB, f File) image.Image {
	t.Helper()
	b, err := os.ReadFile(f.Path)
	if err != nil {
		t.Fatal(err)
	}
	img, err := jpeg.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return img
}

func pngFile(t testing.TB, img image.Image) string {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return sample.Write(t, "in.png", b.Bytes())
}

// rawRGB is a picture as ImageMagick sees it, 8 bits, after more arguments.
func rawRGB(t testing.TB, path string, args ...string) []byte {
	t.Helper()
	args = append(append([]string{path + "[0]"}, args...), "-colorspace", "sRGB", "-type", "TrueColor", "-depth", "8", "rgb:-")
	return sample.Tool(t, "convert", args...)
}

var patchColours = []color.NRGBA{
	{128, 128, 128, 255}, {200, 100, 50, 255}, {64, 32, 16, 255}, {180, 160, 140, 255},
	{20, 20, 20, 255}, {90, 140, 100, 255}, {240, 235, 220, 255}, {60, 80, 120, 255},
}

const patchSize = 32

// patches is a row of flat squares.
func patches(grey bool) image.Image {
	img := image.NewNRGBA64(image.Rect(0, 0, patchSize*len(patchColours), patchSize))
	for x := range img.Rect.Dx() {
		c := patchColours[x/patchSize]
		if grey {
			c.R, c.B = c.G, c.G
		}
		for y := range patchSize {
			img.Set(x, y, c)
		}
	}
	return img
}

// The outside check: ImageMagick (with Little CMS) converts the same file.
func TestColourAgainstImageMagick(t *testing.T) {
	adobe := sample.Write(t, "adobe.icc", sample.AdobeRGB())
	srgb := sample.Write(t, "srgb.icc", sample.SRGB())
	g22 := sample.Write(t, "g22.icc", sample.Grey(2, "Gray Gamma 2.2", sample.Gamma(2.2), "XYZ "))
	g18 := sample.Write(t, "g18.icc", sample.Grey(4, "Gray Gamma 1.8", sample.Para(0, 1.8), "XYZ "))
	linear := sample.Write(t, "lin.icc", sample.Grey(2, "Linear", sample.Linear(), "XYZ "))
	for _, c := range []struct {
		name, profile, ext string
		grey               bool
		args               []string
	}{
		{"adobe tiff 8", adobe, "tif", false, []string{"-depth", "8"}},
		{"adobe tiff 16", adobe, "tif", false, []string{"-depth", "16", "-compress", "LZW"}},
		{"adobe png 8", adobe, "png", false, []string{"-depth", "8", "-define", "png:color-type=2"}},
		{"adobe png 16", adobe, "png", false, []string{"-depth", "16", "-define", "png:color-type=2"}},
		{"adobe jpeg 4:2:0", adobe, "jpg", false, []string{"-quality", "100", "-sampling-factor", "2x2"}},
		{"adobe jpeg 4:4:4", adobe, "jpg", false, []string{"-quality", "100", "-sampling-factor", "1x1"}},
		{"srgb jpeg", srgb, "jpg", false, []string{"-quality", "100"}},
		{"grey 2.2 tiff 8", g22, "tif", true, []string{"-depth", "8"}},
		{"grey 2.2 tiff 16", g22, "tif", true, []string{"-depth", "16", "-compress", "Zip"}},
		{"grey 1.8 png 16", g18, "png", true, []string{"-depth", "16", "-define", "png:color-type=0"}},
		{"grey 1.8 jpeg", g18, "jpg", true, []string{"-quality", "100"}},
		{"grey linear tiff 16", linear, "tif", true, []string{"-depth", "16"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			master := filepath.Join(t.TempDir(), "m."+c.ext)
			args := []string{pngFile(t, patches(c.grey))}
			if c.grey {
				args = append(args, "-colorspace", "Gray")
			}
			args = append(append(args, "-profile", c.profile), c.args...)
			sample.Tool(t, "convert", append(args, master)...)
			want := rawRGB(t, master, "-profile", srgb)
			set := makeOne(t, master, Output{Quality: 100})
			if set.Info.Profile == "" {
				t.Error("no profile was seen")
			}
			if set.Files[0].Grey != c.grey {
				t.Errorf("grey is %v", set.Files[0].Grey)
			}
			img := open(t, set.Files[0])
			for i := range patchColours {
				x, y := i*patchSize+patchSize/2, patchSize/2
				r, g, b, _ := img.At(x, y).RGBA()
				got := [3]int{int(r >> 8), int(g >> 8), int(b >> 8)}
				at := 3 * (y*patchSize*len(patchColours) + x)
				for ch := range 3 {
					if d := got[ch] - int(want[at+ch]); d < -1 || d > 1 {
						t.Errorf("patch %d: got %v, ImageMagick %v", i, got, want[at:at+3])
						break
					}
				}
			}
		})
	}
}

// difference is the mean and largest difference of a picture from raw RGB,
// after that has been through a JPEG of halved chroma as well.
func difference(t testing.TB, img image.Image, want []byte) (mean float64, largest int) {
	b := img.Bounds()
	ref := image.NewNRGBA(b)
	for i := range len(want) / 3 {
		copy(ref.Pix[4*i:], []uint8{want[3*i], want[3*i+1], want[3*i+2], 255})
	}
	through, err := jpeg.Decode(bytes.NewReader(sample.JPEG(t, ref, 100)))
	if err != nil {
		t.Fatal(err)
	}
	for y := range b.Dy() {
		for x := range b.Dx() {
			r, g, bl, _ := img.At(x, y).RGBA()
			r2, g2, bl2, _ := through.At(x, y).RGBA()
			for _, d := range []int{int(r>>8) - int(r2>>8), int(g>>8) - int(g2>>8), int(bl>>8) - int(bl2>>8)} {
				d = max(d, -d)
				mean += float64(d)
				largest = max(largest, d)
			}
		}
	}
	return mean / float64(3*b.Dx()*b.Dy()), largest
}

// orientNames are ImageMagick's names of the EXIF orientations 1 to 8.
var orientNames = []string{"", "TopLeft", "TopRight", "BottomRight", "BottomLeft", "LeftTop", "RightTop", "RightBottom", "LeftBottom"}

// The outside check: ImageMagick turns the picture, ExifTool wrote how. Odd
// sizes, so that halved chroma would show a slip; soft, so that halving it
// costs nothing.
func TestOrientations(t *testing.T) {
	adobe := sample.Write(t, "adobe.icc", sample.AdobeRGB())
	srgb := sample.Write(t, "srgb.icc", sample.SRGB())
	soft := filepath.Join(t.TempDir(), "soft.png")
	sample.Tool(t, "convert", pngFile(t, sample.Scene(151, 93)), "-blur", "0x6", soft)
	for _, kind := range []struct {
		name, ext    string
		orientations []int
		args, then   []string
	}{
		{"jpeg", "jpg", []int{1, 2, 3, 4, 5, 6, 7, 8}, []string{"-quality", "100", "-sampling-factor", "2x2"}, nil},
		{"tiff", "tif", []int{2, 3, 6, 8}, []string{"-compress", "None"}, nil},
		{"png", "png", []int{1, 2, 3, 4, 5, 6, 7, 8}, []string{"-depth", "8"}, nil},
		{"jpeg with profile", "jpg", []int{3, 6, 7}, []string{"-quality", "100", "-sampling-factor", "2x2", "-profile", adobe}, []string{"-profile", srgb}},
	} {
		in := filepath.Join(t.TempDir(), "in."+kind.ext)
		sample.Tool(t, "convert", append(append([]string{soft}, kind.args...), in)...)
		for _, o := range kind.orientations {
			master := filepath.Join(t.TempDir(), "m."+kind.ext)
			sample.Tool(t, "exiftool", "-q", "-n", "-Orientation="+strconv.Itoa(o), "-o", master, in)
			wantW, wantH := 151, 93
			if o >= 5 {
				wantW, wantH = wantH, wantW
			}
			set := makeOne(t, master, Output{Quality: 100}, Output{Width: 61, Quality: 100})
			if set.Info.Orientation != o || set.Info.Width != wantW || set.Info.Height != wantH {
				t.Fatalf("%s orientation %d: info %+v", kind.name, o, set.Info)
			}
			turn := append([]string{"-orient", orientNames[o], "-auto-orient"}, kind.then...)
			size := fmt.Sprintf("61x%d!", set.Files[1].Height)
			for i, args := range [][]string{turn, append(turn, "-filter", "Lanczos", "-resize", size)} {
				img := open(t, set.Files[i])
				if mean, largest := difference(t, img, rawRGB(t, in, args...)); mean > 1 || largest > 8 {
					t.Errorf("%s orientation %d, file %d: mean difference %.2f, largest %d", kind.name, o, i, mean, largest)
				}
			}
		}
	}
}

// A picture reduced on encoded values: a one-pixel checkerboard is 128, where
// linear light would give 188.
func TestCheckerboard(t *testing.T) {
	img := image.NewGray(image.Rect(0, 0, 400, 400))
	for i := range img.Pix {
		if (i%400+i/400)%2 == 0 {
			img.Pix[i] = 255
		}
	}
	for _, width := range []int{200, 133, 50} {
		set := makeOne(t, pngFile(t, img), Output{Width: width})
		out := open(t, set.Files[0]).(*image.Gray)
		for y := 4; y < width-4; y++ {
			for x := 4; x < width-4; x++ {
				if v := out.GrayAt(x, y).Y; v < 126 || v > 130 {
					t.Fatalf("width %d: %d at %d,%d, want 128", width, v, x, y)
				}
			}
		}
	}
}

// Sixteen bits count: a dark slope in a linear file holds far more tones than
// eight bits of it would.
func TestDepthIsKept(t *testing.T) {
	img := image.NewGray16(image.Rect(0, 0, 2048, 16))
	for x := range 2048 {
		for y := range 16 {
			img.SetGray16(x, y, color.Gray16{uint16(x / 2)}) // linear 0 to 1/64
		}
	}
	linear := sample.Write(t, "lin.icc", sample.Grey(2, "Linear", sample.Linear(), "XYZ "))
	master := filepath.Join(t.TempDir(), "m.tif")
	sample.Tool(t, "convert", pngFile(t, img), "-profile", linear, "-depth", "16", master)
	set := makeOne(t, master, Output{Width: 1024, Quality: 100}, Output{Width: 512, Quality: 100})
	for _, f := range set.Files {
		tones := map[uint8]bool{}
		out := open(t, f).(*image.Gray)
		for x := range f.Width {
			tones[out.GrayAt(x, f.Height/2).Y] = true
		}
		if len(tones) < 30 { // encoded 0 to 34; from 8 bits there would be five
			t.Errorf("width %d: %d tones", f.Width, len(tones))
		}
	}
}

func TestNothingIsEnlarged(t *testing.T) {
	set := makeOne(t, pngFile(t, sample.Scene(300, 200)), Output{Width: 2400}, Output{Width: 1200}, Output{Width: 150}, Output{})
	if len(set.Files) != 4 {
		t.Fatalf("%d files", len(set.Files))
	}
	for i, want := range []int{300, 300, 150, 300} {
		if set.Files[i].Width != want || open(t, set.Files[i]).Bounds().Dx() != want {
			t.Errorf("file %d is %d wide, want %d", i, set.Files[i].Width, want)
		}
	}
	if set.Files[0].Path != set.Files[1].Path || set.Files[0].Path != set.Files[3].Path {
		t.Error("the same picture was made twice")
	}
}

func TestGreyStaysGrey(t *testing.T) {
	grey := sample.GreyScene(200, 100)
	rgb := image.NewNRGBA(grey.Rect)
	for i, v := range grey.Pix {
		copy(rgb.Pix[4*i:], []uint8{v, v, v, 255})
	}
	for _, img := range []image.Image{grey, rgb} {
		set := makeOne(t, pngFile(t, img), Output{Width: 100})
		if _, ok := open(t, set.Files[0]).(*image.Gray); !ok || !set.Files[0].Grey {
			t.Errorf("%T came out in colour", img)
		}
	}
	if set := makeOne(t, pngFile(t, sample.Scene(200, 100)), Output{Width: 100}); set.Files[0].Grey {
		t.Error("a colour picture came out grey")
	}
}

func TestTone(t *testing.T) {
	for _, v := range []uint8{0, 51, 255} {
		img := image.NewGray(image.Rect(0, 0, 64, 48))
		for i := range img.Pix {
			img.Pix[i] = v
		}
		if set := makeOne(t, pngFile(t, img), Output{Width: 32}); set.Tone < float64(v)/255-0.001 || set.Tone > float64(v)/255+0.001 {
			t.Errorf("tone of %d is %v", v, set.Tone)
		}
	}
}
