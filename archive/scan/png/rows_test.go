package png

import (
	"bytes"
	"context"
	"image"
	"image/color"
	"image/png"
	"math/rand/v2"
	"testing"

	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/sample"
)

// bytesOf keeps all rows in one.
type bytesOf struct {
	frame raster.Frame
	pix   []byte
}

func (b *bytesOf) Begin(f raster.Frame) error { *b = bytesOf{frame: f}; return nil }

func (b *bytesOf) Row8(_ int, row []byte) error { b.pix = append(b.pix, row...); return nil }

func (b *bytesOf) Row16(_ int, row []byte) error { b.pix = append(b.pix, row...); return nil }

// pictures are of every kind that is read by rows.
func pictures() map[string]image.Image {
	r := rand.New(rand.NewPCG(1, 2))
	box := image.Rect(0, 0, 53, 37)
	grey, grey16, rgb, rgba := image.NewGray(box), image.NewGray16(box), image.NewRGBA64(box), image.NewNRGBA64(box)
	for y := range 37 {
		for x := range 53 {
			v := uint16(x*900 + y*300 + r.IntN(500))
			grey.SetGray(x, y, color.Gray{uint8(v >> 8)})
			grey16.SetGray16(x, y, color.Gray16{v})
			rgb.SetRGBA64(x, y, color.RGBA64{v, v / 2, v / 3, 65535})
			rgba.SetNRGBA64(x, y, color.NRGBA64{v, v / 2, v / 3, uint16(r.Uint32())})
		}
	}
	return map[string]image.Image{"grey": grey, "grey16": grey16, "rgb16": rgb, "rgba16": rgba}
}

func encoded(t testing.TB, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// agree reads by rows and by the standard library: what is taken by rows the
// standard library takes too, with the same pixels.
func agree(t *testing.T, data []byte) (taken bool) {
	t.Helper()
	r, size := bytes.NewReader(data), int64(len(data))
	h, err := ReadHeader(r, size, limit.Limits{Pixels: 1 << 20})
	if err != nil || !h.byRows() {
		return false
	}
	var got, want bytesOf
	if err := h.rows(context.Background(), r, size, &got); err != nil {
		return false
	}
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		if _, unsupported := err.(png.UnsupportedError); unsupported || bytes.Contains([]byte(err.Error()), []byte("checksum")) {
			return false // of a chunk that is none of ours
		}
		t.Fatalf("taken, but the standard library says %v", err)
	}
	if h.Channels == 1 {
		img = grey(img)
	}
	if err := raster.Image(context.Background(), img, &want); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got.pix, want.pix) || got.frame.Model != want.frame.Model {
		t.Fatal("the pixels differ from the standard library's")
	}
	return true
}

func TestRowsAgainstStandardLibrary(t *testing.T) {
	for name, img := range pictures() {
		if !agree(t, encoded(t, img)) {
			t.Errorf("%s was not read by rows", name)
		}
	}
	// Grey with transparency, which the standard library does not write, and
	// filters it does not choose.
	in := sample.Write(t, "in.png", encoded(t, pictures()["rgba16"]))
	for _, args := range [][]string{
		{"-define", "png:color-type=4", "-define", "png:bit-depth=8", "-colorspace", "Gray"},
		{"-define", "png:color-type=4", "-define", "png:bit-depth=16", "-colorspace", "Gray"},
		{"-define", "png:color-type=6", "-define", "png:bit-depth=16", "-define", "png:compression-filter=1"},
		{"-define", "png:color-type=6", "-define", "png:bit-depth=16", "-define", "png:compression-filter=3"},
	} {
		if !agree(t, sample.Tool(t, "convert", append(append([]string{in}, args...), "png:-")...)) {
			t.Errorf("%v was not read by rows", args)
		}
	}
}

// Rows of noise with every filter, some of them damaged in length or filter.
func TestFilters(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	taken := 0
	for range 400 {
		depth, colour := []byte{8, 16}[r.IntN(2)], []byte{0, 2, 4, 6}[r.IntN(4)]
		w, h := 1+r.IntN(20), 1+r.IntN(20)
		row := 1 + w*map[byte]int{0: 1, 2: 3, 4: 2, 6: 4}[colour]*int(depth)/8
		raw := make([]byte, h*row)
		for i := range raw {
			if raw[i] = byte(r.Uint32()); i%row == 0 {
				raw[i] %= 5
			}
		}
		switch r.IntN(8) {
		case 0:
			raw = raw[:r.IntN(len(raw))]
		case 1:
			raw[r.IntN(h)*row] = byte(r.IntN(7))
		}
		data := append(sample.PNGHeader(uint32(w), uint32(h), depth, colour), sample.Chunk("IDAT", sample.Zip(raw))...)
		if agree(t, append(data, sample.Chunk("IEND", nil)...)) {
			taken++
		}
	}
	if taken < 200 {
		t.Errorf("only %d of 400 were taken", taken)
	}
}

// Parts of the picture in many chunks, empty ones among them, and what must not
// be there after it.
func TestChunks(t *testing.T) {
	packed := sample.Zip(make([]byte, 9*8))
	head := sample.PNGHeader(8, 8, 8, 0)
	end := sample.Chunk("IEND", nil)
	var split []byte
	for i := range packed {
		split = append(split, sample.Chunk("IDAT", packed[i:i+1])...)
		split = append(split, sample.Chunk("IDAT", nil)...)
	}
	for name, c := range map[string]struct {
		body []byte
		good bool
	}{
		"one":               {append(sample.Chunk("IDAT", packed), end...), true},
		"split":             {append(split, end...), true},
		"no end":            {sample.Chunk("IDAT", packed), false},
		"end with a length": {append(sample.Chunk("IDAT", packed), sample.Chunk("IEND", []byte("0000"))...), false},
		"left over":         {append(sample.Chunk("IDAT", append(packed, make([]byte, 200_000)...)), end...), false},
		"more rows":         {append(sample.Chunk("IDAT", sample.Zip(make([]byte, 9*9))), end...), false},
		"fewer rows":        {append(sample.Chunk("IDAT", sample.Zip(make([]byte, 9*7))), end...), false},
		"text behind":       {append(append(sample.Chunk("IDAT", packed), sample.Chunk("tEXt", []byte("a\x00b"))...), end...), true},
		"wrong sum":         {append(append(sample.Chunk("IDAT", packed)[:len(packed)+8], 1, 2, 3, 4), end...), false},
		"bad filter":        {append(sample.Chunk("IDAT", sample.Zip(bytes.Repeat([]byte{7}, 72))), end...), false},
	} {
		data := append(bytes.Clone(head), c.body...)
		h, err := ReadHeader(bytes.NewReader(data), int64(len(data)), limit.Default)
		if err != nil {
			t.Fatal(err)
		}
		var d raster.Discard
		if err := h.Decode(context.Background(), bytes.NewReader(data), int64(len(data)), &d); (err == nil) != c.good {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzRows(f *testing.F) {
	for _, img := range pictures() {
		f.Add(encoded(f, img))
	}
	f.Fuzz(func(t *testing.T, data []byte) { agree(t, data) })
}
