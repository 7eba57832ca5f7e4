package jpeg

import (
	"bytes"
	"image"
	"image/jpeg"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/scan/sample"
)

// halved is Scene in YCbCr 4:2:0.
func halved(t testing.TB, width, height int) *image.YCbCr {
	t.Helper()
	img, err := jpeg.Decode(bytes.NewReader(sample.JPEG(t, sample.Scene(width, height), 100)))
	if err != nil {
		t.Fatal(err)
	}
	return img.(*image.YCbCr)
}

func write(t testing.TB, img image.Image, o Options) []byte {
	t.Helper()
	var data []byte
	var err error
	switch m := img.(type) {
	case *image.Gray:
		data, err = Grey(m, o)
	case *image.YCbCr:
		data, err = YCbCr(m, o)
	}
	if err != nil {
		t.Fatal(err)
	}
	return data
}

// noise is the mean square difference of two pictures of the same type.
func noise(a, b image.Image) (sum float64) {
	var pairs [][2][]uint8
	switch m := a.(type) {
	case *image.Gray:
		for y := range m.Rect.Dy() {
			pairs = append(pairs, [2][]uint8{m.Pix[y*m.Stride:][:m.Rect.Dx()], b.(*image.Gray).Pix[y*b.(*image.Gray).Stride:]})
		}
	case *image.YCbCr:
		n := b.(*image.YCbCr)
		for y := range m.Rect.Dy() {
			w, c, d := m.Rect.Dx(), y/2*m.CStride, y/2*n.CStride
			pairs = append(pairs, [2][]uint8{m.Y[y*m.YStride:][:w], n.Y[y*n.YStride:]},
				[2][]uint8{m.Cb[c:][:(w+1)/2], n.Cb[d:]}, [2][]uint8{m.Cr[c:][:(w+1)/2], n.Cr[d:]})
		}
	}
	n := 0
	for _, p := range pairs {
		for i, v := range p[0] {
			d := float64(v) - float64(p[1][i])
			sum += d * d
			n++
		}
	}
	return sum / float64(n)
}

// The outside check: the standard library's encoder with the same tables of
// quantisation. Same noise to 0.05 dB, fewer bytes.
func TestAgainstStandardLibrary(t *testing.T) {
	for _, img := range []image.Image{sample.GreyScene(403, 301), halved(t, 403, 301), sample.GreyScene(7, 5), halved(t, 17, 9), halved(t, 1, 1)} {
		for _, quality := range []int{10, 50, 82, 95, 100} {
			ours, theirs := write(t, img, Options{Quality: quality}), sample.JPEG(t, img, quality)
			got, err := jpeg.Decode(bytes.NewReader(ours))
			if err != nil {
				t.Fatal(err)
			}
			want, err := jpeg.Decode(bytes.NewReader(theirs))
			if err != nil {
				t.Fatal(err)
			}
			if got.Bounds() != want.Bounds() {
				t.Fatalf("bounds %v", got.Bounds())
			}
			a, b := noise(img, got), noise(img, want)
			if db := 10 * math.Log10((a+0.01)/(b+0.01)); db > 0.05 && img.Bounds().Dx() > 100 {
				t.Errorf("%T quality %d: %.3f dB more noise", img, quality, db)
			}
			if len(ours) >= len(theirs) {
				t.Errorf("%T quality %d: %d bytes, the standard library %d", img, quality, len(ours), len(theirs))
			}
		}
	}
}

// The outside check: ImageMagick (libjpeg) finds nothing to complain of, and
// reads grey as the standard library does, to the last rounding.
func TestReadByImageMagick(t *testing.T) {
	colour := sample.Write(t, "c.jpg", write(t, halved(t, 95, 61), Options{Quality: 90}))
	sample.Tool(t, "convert", "-regard-warnings", colour, "null:")
	data := write(t, sample.GreyScene(95, 61), Options{Quality: 90})
	raw := sample.Tool(t, "convert", "-regard-warnings", sample.Write(t, "g.jpg", data), "-depth", "8", "gray:-")
	img, err := jpeg.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	grey := img.(*image.Gray)
	for i, v := range raw {
		if d := int(v) - int(grey.Pix[i/95*grey.Stride+i%95]); d < -1 || d > 1 {
			t.Fatalf("sample %d differs by %d", i, d)
		}
	}
}

// Any picture of any size comes back, near at quality 100.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 40).Draw(t, "w"), rapid.IntRange(1, 40).Draw(t, "h")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		contrast := rapid.IntRange(1, 256).Draw(t, "contrast")
		fill := func(p []uint8) {
			for i := range p {
				p[i] = uint8(r.IntN(contrast))
			}
		}
		grey := image.NewGray(image.Rect(0, 0, w, h))
		colour := image.NewYCbCr(image.Rect(0, 0, w, h), image.YCbCrSubsampleRatio420)
		for _, p := range [][]uint8{grey.Pix, colour.Y, colour.Cb, colour.Cr} {
			fill(p)
		}
		a, err := Grey(grey, Options{Quality: 100})
		if err != nil {
			t.Fatal(err)
		}
		b, err := YCbCr(colour, Options{Quality: 100})
		if err != nil {
			t.Fatal(err)
		}
		for i, data := range [][]byte{a, b} {
			img, err := jpeg.Decode(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			if n := noise([]image.Image{grey, colour}[i], img); n > 1 {
				t.Fatalf("mean square %v", n)
			}
		}
	})
}

func TestSegments(t *testing.T) {
	data := write(t, sample.GreyScene(9, 9), Options{Quality: 80, App1: [][]byte{[]byte("hello")}})
	if !bytes.HasPrefix(data, []byte("\xFF\xD8\xFF\xE1\x00\x07hello\xFF\xDB")) {
		t.Errorf("starts with %q", data[:16])
	}
	if _, err := Grey(sample.GreyScene(9, 9), Options{App1: [][]byte{make([]byte, 65534)}}); err != ErrPicture {
		t.Errorf("a segment too long: %v", err)
	}
	if _, err := Grey(image.NewGray(image.Rect(0, 0, 0, 5)), Options{}); err != ErrPicture {
		t.Errorf("an empty picture: %v", err)
	}
}

// Code lengths are never over 16, fill the code space but for the free code,
// and are as good as plain Huffman wherever that needs no more than 16.
func TestLengths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var counts [256]int
		n := rapid.IntRange(1, 256).Draw(t, "n")
		steep := rapid.Bool().Draw(t, "steep")
		weight := 1
		for i := range n {
			counts[i] = rapid.IntRange(1, 1000).Draw(t, "count")
			if steep && i < 40 { // Fibonacci-like weights make deep trees
				counts[i] = weight
				weight += weight/2 + 1
			}
		}
		lengths := limitedLengths(&counts)
		space, cost := 0, 0
		for symbol, l := range lengths {
			if l > 16 || symbol < 256 && (l > 0) != (counts[symbol] > 0) {
				t.Fatalf("symbol %d has length %d", symbol, l)
			}
			if l > 0 {
				space += 1 << (16 - l)
			}
			if symbol < 256 {
				cost += l * counts[symbol]
			}
		}
		if space != 1<<16 {
			t.Fatalf("the codes fill %d of 65536", space)
		}
		if plain, deepest := huffmanCost(&counts); deepest <= 16 && cost != plain {
			t.Fatalf("cost %d, plain Huffman %d", cost, plain)
		}
	})
}

// huffmanCost is the textbook: join the two lightest until one is left. The
// free code takes part with weight 0.
func huffmanCost(counts *[256]int) (cost, deepest int) {
	type node struct{ weight, depth int }
	nodes := []node{{0, 0}}
	for _, c := range counts {
		if c > 0 {
			nodes = append(nodes, node{c, 0})
		}
	}
	take := func() node {
		best := 0
		for i, n := range nodes {
			if n.weight < nodes[best].weight || n.weight == nodes[best].weight && n.depth < nodes[best].depth {
				best = i
			}
		}
		n := nodes[best]
		nodes = append(nodes[:best], nodes[best+1:]...)
		return n
	}
	for len(nodes) > 1 {
		a, b := take(), take()
		cost += a.weight + b.weight
		nodes = append(nodes, node{a.weight + b.weight, max(a.depth, b.depth) + 1})
	}
	return cost, nodes[0].depth
}

func BenchmarkGrey(b *testing.B) {
	img := sample.GreyScene(2400, 1600)
	b.SetBytes(int64(len(img.Pix)))
	for b.Loop() {
		if _, err := Grey(img, Options{Quality: 82}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkStandardLibraryGrey(b *testing.B) {
	img := sample.GreyScene(2400, 1600)
	b.SetBytes(int64(len(img.Pix)))
	for b.Loop() {
		jpeg.Encode(&bytes.Buffer{}, img, &jpeg.Options{Quality: 82})
	}
}
