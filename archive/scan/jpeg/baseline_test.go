package jpeg

import (
	"bytes"
	"context"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/sample"
)

// planes keeps the rows of 8-bit planes.
type planes struct {
	frame raster.Frame
	pix   [3][]uint8
}

func (p *planes) Begin(f raster.Frame) error { *p = planes{frame: f}; return nil }

func (p *planes) Row8(plane int, row []uint8) error {
	p.pix[plane] = append(p.pix[plane], row...)
	return nil
}

func (p *planes) Row16(int, []byte) error { panic("a JPEG has 8 bits") }

// compare decodes by the fast decoder and, where that takes the file, by the
// standard library, and reports the largest difference of any sample.
func compare(t *testing.T, data []byte) (taken bool) {
	t.Helper()
	h, err := ReadHeader(bytes.NewReader(data), int64(len(data)), limit.Limits{Pixels: 1 << 20})
	if err != nil {
		return false
	}
	d, err := parse(h, data)
	if err != nil {
		return false
	}
	var got, want planes
	if err := d.decode(context.Background(), &got); err != nil {
		return false
	}
	img, err := jpeg.Decode(bytes.NewReader(plainFactors(h, data)))
	if err != nil {
		t.Fatalf("taken, but the standard library says %v", err)
	}
	if img.Bounds() != image.Rect(0, 0, h.Width, h.Height) {
		t.Fatalf("bounds %v, header %d × %d", img.Bounds(), h.Width, h.Height)
	}
	if err := raster.Image(context.Background(), img, &want); err != nil {
		t.Fatal(err)
	}
	for p := range got.pix {
		if len(got.pix[p]) != len(want.pix[p]) {
			t.Fatalf("plane %d: %d samples, want %d", p, len(got.pix[p]), len(want.pix[p]))
		}
		for i, v := range got.pix[p] {
			if d := int(v) - int(want.pix[p][i]); d < -1 || d > 1 {
				t.Fatalf("plane %d sample %d: %d, the standard library has %d", p, i, v, want.pix[p][i])
			}
		}
	}
	return true
}

// plainFactors gives the sampling factors of a picture of one component as 1 × 1:
// they mean nothing there (T.81 A.2.2), but the standard library refuses a 3.
func plainFactors(h *Header, data []byte) []byte {
	if len(h.components) != 1 {
		return data
	}
	out := bytes.Clone(data)
	frame := []byte{0, 11, 8, byte(h.Height >> 8), byte(h.Height), byte(h.Width >> 8), byte(h.Width), 1, h.components[0].id}
	if at := bytes.Index(out, frame); at >= 0 {
		out[at+len(frame)] = 0x11
	}
	return out
}

func TestFactorsOfOneComponent(t *testing.T) {
	data := sample.JPEG(t, sample.GreyScene(41, 23), 90)
	frame := []byte{0, 11, 8, 0, 23, 0, 41, 1}
	at := bytes.Index(data, frame)
	for _, factors := range []byte{0x11, 0x22, 0x31, 0x13, 0x44} {
		data[at+len(frame)+1] = factors
		if !compare(t, data) {
			t.Errorf("factors %02x were not taken", factors)
		}
	}
}

// The outside check: the standard library's decoder, and ImageMagick's encoder
// for what the standard library cannot write.
func TestFastAgainstStandardLibrary(t *testing.T) {
	for _, size := range [][2]int{{1, 1}, {8, 8}, {17, 9}, {64, 48}, {203, 131}} {
		for _, quality := range []int{1, 30, 75, 92, 100} {
			for _, img := range []image.Image{sample.Scene(size[0], size[1]), sample.GreyScene(size[0], size[1])} {
				if !compare(t, sample.JPEG(t, img, quality)) {
					t.Errorf("%v quality %d was left to the standard library", size, quality)
				}
			}
		}
	}
	in := sample.Write(t, "in.jpg", sample.JPEG(t, sample.Scene(203, 131), 100))
	for _, args := range [][]string{
		{"-sampling-factor", "1x1"}, {"-sampling-factor", "2x1"}, {"-sampling-factor", "1x2"}, {"-sampling-factor", "2x2"},
		{"-define", "jpeg:optimize-coding=true"}, {"-define", "jpeg:optimize-coding=false", "-colorspace", "Gray"},
	} {
		data := sample.Tool(t, "convert", append(append([]string{in, "-quality", "90"}, args...), "jpg:-")...)
		if !compare(t, data) {
			t.Errorf("%v was left to the standard library", args)
		}
	}
	progressive := sample.Tool(t, "convert", in, "-interlace", "JPEG", "jpg:-")
	if compare(t, progressive) {
		t.Error("a progressive file was taken")
	}
}

// Restart intervals, which no encoder at hand writes: blocks encoded each as a
// picture of its own are joined by markers.
func TestRestartIntervals(t *testing.T) {
	scene := sample.GreyScene(96, 8)
	var out []byte
	for i := range 12 {
		one := image.NewGray(image.Rect(0, 0, 8, 8))
		for y := range 8 {
			copy(one.Pix[8*y:], scene.Pix[y*scene.Stride+8*i:][:8])
		}
		data := sample.JPEG(t, one, 90)
		sos := bytes.Index(data, []byte{0xFF, 0xDA})
		body := sos + 2 + int(data[sos+3])
		if i == 0 {
			frame := bytes.Index(data, []byte{0xFF, 0xC0})
			data[frame+8] = 96 // the width
			out = append(out, data[:sos]...)
			out = append(append(out, 0xFF, 0xDD, 0, 4, 0, 1), data[sos:body]...)
		} else {
			out = append(out, 0xFF, 0xD0+byte(i-1)%8)
		}
		out = append(out, data[body:len(data)-2]...)
	}
	out = append(out, 0xFF, 0xD9)
	if !compare(t, out) {
		t.Error("restart markers were left to the standard library")
	}
	// A marker out of turn is none of ours.
	at := bytes.Index(out, []byte{0xFF, 0xD3})
	out[at+1] = 0xD5
	if compare(t, out) {
		t.Error("markers out of turn were taken")
	}
}

// Damaged files: what the fast decoder takes, the standard library takes too,
// with the same picture.
func TestFastOnMutated(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	taken := 0
	for _, img := range []image.Image{sample.Scene(70, 50), sample.GreyScene(70, 50)} {
		base := sample.JPEG(t, img, 80)
		for range 1500 {
			if compare(t, sample.Mutate(r, base)) {
				taken++
			}
		}
	}
	if taken == 0 {
		t.Error("nothing was taken")
	}
}

// definition is the inverse transform of T.81 A.3.3.
func definition(b *block) (out [64]float64) {
	for i := range out {
		x, y := i%8, i/8
		for v := range 8 {
			for u := range 8 {
				c := 0.25
				if u == 0 {
					c /= math.Sqrt2
				}
				if v == 0 {
					c /= math.Sqrt2
				}
				out[i] += c * float64(b[8*v+u]) * math.Cos(float64((2*x+1)*u)*math.Pi/16) * math.Cos(float64((2*y+1)*v)*math.Pi/16)
			}
		}
	}
	return out
}

// The accuracy asked of inverse transforms by IEEE Std 1180-1990, section 3
// (its limits from memory): peak error 1, mean square error of any sample 0.06
// and over all 0.02, mean error of any sample 0.015 and over all 0.0015. The
// coefficients are of random pictures, transformed by the definition, rounded.
func TestTransformAccuracy(t *testing.T) {
	const blocks = 4000
	for _, amplitude := range []int{5, 100} {
		r := rand.New(rand.NewPCG(7, 8))
		var square, sum [64]float64
		for range blocks {
			var spatial, b block
			for i := range spatial {
				spatial[i] = int32(r.IntN(2*amplitude+1) - amplitude)
			}
			last := forward(&spatial, &b)
			var got [64]uint8
			b.inverse(last, got[:], 8)
			for i, want := range definition(&b) {
				d := float64(got[i]) - math.Max(0, math.Min(255, math.Round(want)+128))
				if math.Abs(d) > 1 {
					t.Fatalf("off by %v", d)
				}
				square[i] += d * d
				sum[i] += d
			}
		}
		var squares, sums float64
		for i := range square {
			if square[i]/blocks > 0.06 || math.Abs(sum[i])/blocks > 0.015 {
				t.Errorf("amplitude %d, sample %d: mean square %.4f, mean %.4f", amplitude, i, square[i]/blocks, sum[i]/blocks)
			}
			squares, sums = squares+square[i], sums+sum[i]
		}
		if squares/blocks/64 > 0.02 || math.Abs(sums)/blocks/64 > 0.0015 {
			t.Errorf("amplitude %d: mean square %.4f, mean %.5f", amplitude, squares/blocks/64, sums/blocks/64)
		}
	}
}

// At half the size a block is the definition's with the frequencies that four
// samples hold, to the same accuracy.
func TestHalfTransform(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 8))
	squares := 0.0
	const blocks = 2000
	for range blocks {
		var spatial, b block
		for i := range spatial {
			spatial[i] = int32(r.IntN(201) - 100)
		}
		last := forward(&spatial, &b)
		var got [16]uint8
		b.inverseHalf(last, got[:], 4)
		for i, v := range got {
			want := 0.0
			for w := range 4 {
				for u := range 4 {
					c := 0.125
					if u > 0 {
						c *= math.Sqrt2
					}
					if w > 0 {
						c *= math.Sqrt2
					}
					want += c * float64(b[8*w+u]) * math.Cos(float64((2*(i%4)+1)*u)*math.Pi/8) * math.Cos(float64((2*(i/4)+1)*w)*math.Pi/8)
				}
			}
			d := float64(v) - math.Max(0, math.Min(255, math.Round(want)+128))
			if math.Abs(d) > 1 {
				t.Fatalf("off by %v", d)
			}
			squares += d * d
		}
	}
	if squares/blocks/16 > 0.02 {
		t.Errorf("mean square %.4f", squares/blocks/16)
	}
}

// both is a sink that takes a picture whole and at half the size.
type both struct {
	planes
	half planes
}

func (b *both) Halves() (whole, half raster.Sink) { return &b.planes, &b.half }

// The half-size planes have the picture's size and are what the mean of each
// 2 × 2 samples would be, but for the finest detail.
func TestHalfPlanes(t *testing.T) {
	for _, size := range [][2]int{{64, 48}, {203, 131}, {119, 57}} {
		data := sample.JPEG(t, sample.Scene(size[0], size[1]), 95)
		h, err := ReadHeader(bytes.NewReader(data), int64(len(data)), limit.Default)
		if err != nil {
			t.Fatal(err)
		}
		d, err := parse(h, data)
		if err != nil {
			t.Fatal(err)
		}
		var b both
		if err := d.decode(context.Background(), &b); err != nil {
			t.Fatal(err)
		}
		for p, plane := range b.half.frame.Planes {
			whole := b.frame.Planes[p]
			if plane.Width != (whole.Width+1)/2 || plane.Height != (whole.Height+1)/2 || plane.SpanX != 2*whole.SpanX || len(b.half.pix[p]) != plane.Width*plane.Height {
				t.Fatalf("plane %d is %+v, whole %+v", p, plane, whole)
			}
			sum, n := 0.0, 0
			for y := range whole.Height / 2 {
				for x := range whole.Width / 2 {
					at := 2*y*whole.Width + 2*x
					mean := (int(b.pix[p][at]) + int(b.pix[p][at+1]) + int(b.pix[p][at+whole.Width]) + int(b.pix[p][at+whole.Width+1])) / 4
					d := float64(int(b.half.pix[p][y*plane.Width+x]) - mean)
					sum += d * d
					n++
				}
			}
			if sum/float64(n) > 9 {
				t.Errorf("%v plane %d: mean square difference %.2f", size, p, sum/float64(n))
			}
		}
	}
}

// forward is the transform of T.81 A.3.3, rounded; it returns the zigzag place
// of the last coefficient that is not zero.
func forward(in, out *block) (last int) {
	for i := range out {
		u, v, c, sum := i%8, i/8, 0.25, 0.0
		if u == 0 {
			c /= math.Sqrt2
		}
		if v == 0 {
			c /= math.Sqrt2
		}
		for j, s := range in {
			sum += float64(s) * math.Cos(float64((2*(j%8)+1)*u)*math.Pi/16) * math.Cos(float64((2*(j/8)+1)*v)*math.Pi/16)
		}
		out[i] = int32(math.Round(c * sum))
	}
	for zig, n := range natural {
		if out[n] != 0 {
			last = zig
		}
	}
	return last
}

func FuzzFast(f *testing.F) {
	f.Add(sample.JPEG(f, sample.Scene(20, 18), 80))
	f.Add(sample.JPEG(f, sample.GreyScene(20, 18), 95))
	f.Add(sample.JPEG(f, sample.GreyScene(9, 9), 5))
	f.Fuzz(func(t *testing.T, data []byte) { compare(t, data) })
}
