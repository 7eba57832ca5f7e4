package scan

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/sample"
)

// collector keeps every sample at 16 bits, by channel.
type collector struct {
	frame  raster.Frame
	planes [3][]uint16
}

func (c *collector) Begin(f raster.Frame) error { *c = collector{frame: f}; return nil }

func (c *collector) Row8(p int, row []byte) error {
	n := c.frame.Planes[p].Samples
	for i, v := range row {
		c.planes[p+i%n] = append(c.planes[p+i%n], uint16(v)*257)
	}
	return nil
}

func (c *collector) Row16(p int, row []byte) error {
	n := c.frame.Planes[p].Samples
	for i := range len(row) / 2 {
		c.planes[p+i%n] = append(c.planes[p+i%n], uint16(row[2*i])|uint16(row[2*i+1])<<8)
	}
	return nil
}

func collect(t testing.TB, path string) (*collector, Info) {
	t.Helper()
	m, err := Open(path, limit.Default)
	if err != nil {
		t.Fatal(err)
	}
	defer m.Close()
	c := &collector{}
	if err := m.Decode(context.Background(), c); err != nil {
		t.Fatal(err)
	}
	return c, m.Info()
}

// interleaved is the pixels of grey and RGB frames, 16 bits big-endian, as
// ImageMagick writes them raw.
func (c *collector) interleaved() []byte {
	var out []byte
	for i := range c.planes[0] {
		for p := range c.planes {
			if c.planes[p] == nil {
				break
			}
			v := c.planes[p][i]
			out = append(out, byte(v>>8), byte(v))
		}
	}
	return out
}

// toRGB converts a frame of 8-bit YCbCr by the standard library.
func (c *collector) toRGB() {
	for i := range c.planes[0] {
		r, g, b := color.YCbCrToRGB(uint8(c.planes[0][i]>>8), uint8(c.planes[1][i]>>8), uint8(c.planes[2][i]>>8))
		c.planes[0][i], c.planes[1][i], c.planes[2][i] = uint16(r)*257, uint16(g)*257, uint16(b)*257
	}
}

func scenePNG(t testing.TB, img image.Image) string {
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return sample.Write(t, "scene.png", b.Bytes())
}

// The outside check: every TIFF is written by ImageMagick and read back by it.
func TestTIFFFlavours(t *testing.T) {
	in := filepath.Join(t.TempDir(), "in.png")
	// Sixteen real bits: a blur leaves values between the 8-bit ones.
	sample.Tool(t, "convert", scenePNG(t, sample.Scene(101, 67)), "-depth", "16", "-blur", "0x1", in)
	for _, depth := range []string{"8", "16"} {
		for _, kind := range []string{"Grayscale", "TrueColor"} {
			for name, args := range map[string][]string{
				"plain":         {"-compress", "None"},
				"plain strips":  {"-compress", "None", "-define", "tiff:rows-per-strip=7"},
				"LZW":           {"-compress", "LZW"},
				"LZW predictor": {"-compress", "LZW", "-define", "tiff:predictor=2"},
				"deflate":       {"-compress", "Zip", "-define", "tiff:rows-per-strip=16"},
				"deflate pred.": {"-compress", "Zip", "-define", "tiff:predictor=2", "-define", "tiff:rows-per-strip=10"},
				"PackBits":      {"-compress", "RLE"},
				"big-endian":    {"-compress", "LZW", "-define", "tiff:predictor=2", "-define", "tiff:endian=msb"},
				"big, plain":    {"-compress", "None", "-define", "tiff:endian=msb"},
				"tiles":         {"-compress", "None", "-define", "tiff:tile-geometry=32x16"},
				"tiles deflate": {"-compress", "Zip", "-define", "tiff:predictor=2", "-define", "tiff:tile-geometry=16x48"},
				"one tile":      {"-compress", "LZW", "-define", "tiff:tile-geometry=112x80"},
			} {
				t.Run(fmt.Sprintf("%s %s %s", name, kind, depth), func(t *testing.T) {
					path := filepath.Join(t.TempDir(), "m.tif")
					sample.Tool(t, "convert", append(append([]string{in, "-type", kind, "-depth", depth}, args...), path)...)
					c, info := collect(t, path)
					raw := map[string]string{"Grayscale": "gray:-", "TrueColor": "rgb:-"}[kind]
					want := sample.Tool(t, "convert", path, "-depth", "16", "-endian", "MSB", raw)
					if !bytes.Equal(c.interleaved(), want) {
						t.Error("pixels differ from ImageMagick's")
					}
					channels := map[string]int{"Grayscale": 1, "TrueColor": 3}[kind]
					if info.Format != "TIFF" || info.Width != 101 || info.Height != 67 || info.Channels != channels || fmt.Sprint(info.Bits) != depth {
						t.Errorf("info %+v", info)
					}
				})
			}
		}
	}
}

func TestTIFFWhiteIsZero(t *testing.T) {
	path := filepath.Join(t.TempDir(), "m.tif")
	sample.Tool(t, "convert", scenePNG(t, sample.GreyScene(40, 30)), "-compress", "None", "-define", "quantum:polarity=min-is-white", path)
	c, _ := collect(t, path)
	if want := sample.Tool(t, "convert", path, "-depth", "16", "-endian", "MSB", "gray:-"); !bytes.Equal(c.interleaved(), want) {
		t.Error("pixels differ from ImageMagick's")
	}
}

// Transparency is laid over black.
func TestAlphaOverBlack(t *testing.T) {
	img := sample.Scene(60, 40)
	for i := 3; i < len(img.Pix); i += 4 {
		img.Pix[i] = uint8(i)
	}
	in := scenePNG(t, img)
	for name, args := range map[string][]string{
		"m8.tif": {"-depth", "8"}, "m16.tif": {"-depth", "16"}, "m8.png": {"-depth", "8"},
		"m16.png": {"-depth", "16", "-define", "png:color-type=6", "-define", "png:bit-depth=16"},
		"g8.png":  {"-colorspace", "Gray", "-depth", "8", "-define", "png:color-type=4"},
	} {
		path := filepath.Join(t.TempDir(), name)
		sample.Tool(t, "convert", append(append([]string{in}, args...), path)...)
		c, _ := collect(t, path)
		raw := "rgb:-"
		if c.frame.Model == raster.Grey {
			raw = "gray:-"
		}
		want := sample.Tool(t, "convert", path, "-background", "black", "-alpha", "remove", "-depth", "16", "-endian", "MSB", raw)
		got := c.interleaved()
		if len(got) != len(want) {
			t.Fatalf("%s: %d bytes, want %d", name, len(got), len(want))
		}
		for i := 0; i < len(got); i += 2 {
			d := int(got[i])<<8 + int(got[i+1]) - int(want[i])<<8 - int(want[i+1])
			if d < -257 || d > 257 { // one 8-bit step: where rounding is done differs
				t.Fatalf("%s: sample %d differs by %d", name, i/2, d)
			}
		}
	}
}

// The outside check: ImageMagick (libjpeg) decodes the same file. Decoders may
// differ by a rounding of the cosine transform and in how chroma is enlarged,
// so chroma is not halved here and a few steps are allowed.
func TestJPEGFlavours(t *testing.T) {
	in := scenePNG(t, sample.Scene(83, 59))
	for name, args := range map[string][]string{
		"baseline":         {"-sampling-factor", "1x1"},
		"progressive":      {"-sampling-factor", "1x1", "-interlace", "JPEG"},
		"grey":             {"-colorspace", "Gray"},
		"grey progressive": {"-colorspace", "Gray", "-interlace", "JPEG"},
		"cmyk":             {"-colorspace", "CMYK", "-sampling-factor", "1x1"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "m.jpg")
			sample.Tool(t, "convert", append(append([]string{in, "-quality", "95"}, args...), path)...)
			c, info := collect(t, path)
			raw := "rgb:-"
			if c.frame.Model == raster.Grey {
				raw = "gray:-"
			}
			conv := []string{path, "-depth", "16", "-endian", "MSB"}
			if name == "cmyk" {
				conv = append(conv, "-colorspace", "sRGB")
			}
			want := sample.Tool(t, "convert", append(conv, raw)...)
			if c.frame.Model == raster.YCbCr {
				c.toRGB()
			}
			got := c.interleaved()
			if len(got) != len(want) {
				t.Fatalf("%d bytes, want %d (%+v)", len(got), len(want), info)
			}
			for i := 0; i < len(got); i += 2 {
				if d := int(got[i]) - int(want[i]); d < -3 || d > 3 {
					t.Fatalf("sample %d: %d, ImageMagick %d", i/2, got[i], want[i])
				}
			}
		})
	}
}

// An Adobe segment that says "no transform" makes the same coded planes RGB.
func TestJPEGInRGB(t *testing.T) {
	coded := sample.JPEG(t, sample.Scene(40, 30), 90)
	adobe := append([]byte("Adobe\x00\x64\x00\x00\x00\x00"), 0)
	path := sample.Write(t, "m.jpg", sample.Insert(coded, 0xEE, adobe))
	c, info := collect(t, path)
	if c.frame.Model != raster.RGB || info.Channels != 3 {
		t.Fatalf("model %v, %+v", c.frame.Model, info)
	}
	plain, _ := collect(t, sample.Write(t, "p.jpg", coded))
	for i, v := range plain.planes[0] { // luma is taken as red
		if d := int(v) - int(c.planes[0][i]); d < -257 || d > 257 {
			t.Fatalf("sample %d: %d and %d", i, v, c.planes[0][i])
		}
	}
}

func TestPNGFlavours(t *testing.T) {
	in := filepath.Join(t.TempDir(), "in.png")
	sample.Tool(t, "convert", scenePNG(t, sample.Scene(61, 47)), "-depth", "16", "-blur", "0x1", in)
	for name, args := range map[string][]string{
		"grey 8":     {"-colorspace", "Gray", "-depth", "8"},
		"grey 16":    {"-colorspace", "Gray", "-depth", "16"},
		"grey 2":     {"-colorspace", "Gray", "-depth", "2"},
		"colour 8":   {"-depth", "8", "-define", "png:color-type=2"},
		"colour 16":  {"-depth", "16", "-define", "png:color-type=2"},
		"palette":    {"-colors", "100", "-define", "png:color-type=3"},
		"interlaced": {"-depth", "8", "-interlace", "PNG", "-define", "png:color-type=2"},
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "m.png")
			sample.Tool(t, "convert", append(append([]string{in}, args...), path)...)
			c, info := collect(t, path)
			raw := "rgb:-"
			if c.frame.Model == raster.Grey {
				raw = "gray:-"
			}
			if want := sample.Tool(t, "convert", path, "-depth", "16", "-endian", "MSB", raw); !bytes.Equal(c.interleaved(), want) {
				t.Errorf("pixels differ from ImageMagick's (%+v)", info)
			}
		})
	}
}

func TestVerify(t *testing.T) {
	coded := sample.JPEG(t, sample.Scene(200, 150), 90)
	if err := Verify(context.Background(), sample.Write(t, "good.jpg", coded)); err != nil {
		t.Error(err)
	}
	if err := Verify(context.Background(), sample.Write(t, "cut.jpg", coded[:len(coded)*2/3])); err == nil {
		t.Error("a file cut short was called sound")
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if err := Verify(ctx, sample.Write(t, "good.jpg", coded)); err != context.Canceled {
		t.Errorf("cancelled: %v", err)
	}
	// A master is read, never touched.
	path := sample.Write(t, "ro.jpg", coded)
	before, _ := os.Stat(path)
	if err := os.Chmod(path, 0o400); err != nil {
		t.Fatal(err)
	}
	if err := Verify(context.Background(), path); err != nil {
		t.Error(err)
	}
	if after, _ := os.Stat(path); !after.ModTime().Equal(before.ModTime()) {
		t.Error("the master was touched")
	}
}
