package picture

import (
	"image"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"sandarac/archive/scan/sample"
)

func greyDifference(a, b image.Image) (mean float64, largest int) {
	p, q := a.(*image.Gray).Pix, b.(*image.Gray).Pix
	for i := range p {
		d := int(p[i]) - int(q[i])
		d = max(d, -d)
		mean += float64(d)
		largest = max(largest, d)
	}
	return mean / float64(len(p)), largest
}

// plainLanczos is the textbook in float64: rows after columns, edges by
// renormalising, clipped once at the end.
func plainLanczos(in []float64, w, h int, along, down geometry) []float64 {
	one := func(get func(int) float64, g geometry, i int) float64 {
		stretch := math.Max(g.scale, 1)
		centre := g.offset + (float64(i)+0.5)*g.scale - 0.5
		sum, total := 0.0, 0.0
		for k := range g.in {
			if weight := lanczos((float64(k) - centre) / stretch); weight != 0 {
				sum += weight * get(k)
				total += weight
			}
		}
		return sum / total
	}
	mid := make([]float64, w*down.out)
	for y := range down.out {
		for x := range w {
			mid[y*w+x] = one(func(k int) float64 { return in[k*w+x] }, down, y)
		}
	}
	out := make([]float64, along.out*down.out)
	for y := range down.out {
		for x := range along.out {
			v := one(func(k int) float64 { return mid[y*w+k] }, along, x)
			out[y*along.out+x] = math.Max(0, math.Min(1, v))
		}
	}
	return out
}

// resampled runs rows through a resampler.
func resampled(t interface{ Fatal(...any) }, depth int, in []uint16, along, down geometry) []uint16 {
	var got []uint16
	res := newResampler(depth, 1, along, down, func(_, _ int, row []uint16) error {
		got = append(got, row...)
		return nil
	})
	row8 := make([]uint8, along.in)
	for y := range down.in {
		row := in[y*along.in : (y+1)*along.in]
		var err error
		if depth == 8 {
			for x, v := range row {
				row8[x] = uint8(v >> 8)
			}
			err = res.row(row8)
		} else {
			err = res.row16(row)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return got
}

// The packed arithmetic agrees with the textbook for any sizes. Pure noise is
// the worst there is: on 8-bit rows of it the weights' 8 bits may cost 0.5 % of
// its contrast (root mean square); elsewhere the bound is half a part of 2^14
// for each tap along the rows.
func TestResamplerAgainstTextbook(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, h := rapid.IntRange(1, 70).Draw(t, "w"), rapid.IntRange(1, 40).Draw(t, "h")
		// Reductions below 3, which are done in one step.
		ow, oh := rapid.IntRange(w*100/299+1, 70).Draw(t, "ow"), rapid.IntRange(h*100/299+1, 40).Draw(t, "oh")
		depth := rapid.SampledFrom([]int{8, 16}).Draw(t, "depth")
		extreme := rapid.Bool().Draw(t, "extreme")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		along := geometry{in: w, out: ow, scale: float64(w) / float64(ow)}
		down := geometry{in: h, out: oh, scale: float64(h) / float64(oh), offset: float64(rapid.IntRange(-1, 1).Draw(t, "offset")) / 2}
		in, exact := make([]uint16, w*h), make([]float64, w*h)
		for i := range in {
			in[i] = uint16(r.Uint32())
			if extreme {
				in[i] = uint16(r.IntN(2) * 65535)
			}
			if exact[i] = float64(in[i]) / 65535; depth == 8 {
				exact[i] = float64(in[i]>>8) / 255
			}
		}
		got, want := resampled(t, depth, in, along, down), plainLanczos(exact, w, h, along, down)
		if len(got) != len(want) {
			t.Fatalf("%d samples, want %d", len(got), len(want))
		}
		worst, squares := 0.0, 0.0
		for i := range want {
			d := math.Abs(float64(got[i])/257 - want[i]*255)
			worst = math.Max(worst, d)
			squares += d * d
		}
		rms := math.Sqrt(squares / float64(len(want)))
		taps := 6*math.Max(along.scale, 1) + 1
		if bound := 0.02 + taps*0.5/(1<<14)*255; depth == 16 && worst > bound {
			t.Fatalf("16 bits: off by up to %.4f of an 8-bit step, bound %.4f", worst, bound)
		}
		if depth == 8 && (rms > 0.005*255 || worst > 5*0.005*255) {
			t.Fatalf("8 bits: off by %.3f of a step, up to %.3f", rms, worst)
		}
	})
}

// Interleaved channels come out as each by itself.
func TestInterleaved(t *testing.T) {
	for _, depth := range []int{1, 2} { // bytes a sample
		r := rand.New(rand.NewPCG(uint64(depth), 1))
		along, down := geometry{in: 37, out: 15, scale: 37.0 / 15}, geometry{in: 23, out: 9, scale: 23.0 / 9}
		var together, alone [3][]uint16
		three := newResampler(8*depth, 3, along, down, func(c, _ int, row []uint16) error {
			together[c] = append(together[c], row...)
			return nil
		})
		var ones []*resampler
		for i := range 3 {
			ones = append(ones, newResampler(8*depth, 1, along, down, func(_, _ int, row []uint16) error {
				alone[i] = append(alone[i], row...)
				return nil
			}))
		}
		for range down.in {
			row, parts := make([]byte, 3*depth*along.in), [3][]byte{}
			for i := range row {
				row[i] = byte(r.Uint32())
				parts[i/depth%3] = append(parts[i/depth%3], row[i])
			}
			if err := three.row(row); err != nil {
				t.Fatal(err)
			}
			for i, one := range ones {
				if err := one.row(parts[i]); err != nil {
					t.Fatal(err)
				}
			}
		}
		for i := range 3 {
			if len(alone[i]) != 15*9 || !slices.Equal(together[i], alone[i]) {
				t.Errorf("%d bytes a sample, channel %d differs", depth, i)
			}
		}
	}
}

// A picture comes out as plain Lanczos has it, in one step and not
// rounded: to 0.1 of an 8-bit step root mean square (68 dB), also at hard edges,
// and to 0.25 (60 dB) where it is done in two steps.
func TestSceneAgainstTextbook(t *testing.T) {
	scene := sample.GreyScene(150, 90)
	in, exact := make([]uint16, len(scene.Pix)), make([]float64, len(scene.Pix))
	for i, v := range scene.Pix {
		in[i], exact[i] = uint16(v)*257, float64(v)/255
	}
	for _, ow := range []int{18, 20, 40, 60, 75, 149, 150, 300} {
		oh := max(1, ow*90/150)
		along := geometry{in: 150, out: ow, scale: 150 / float64(ow)}
		down := geometry{in: 90, out: oh, scale: 90 / float64(oh)}
		want := plainLanczos(exact, 150, 90, along, down)
		bound := 0.1
		if folds(along.scale) {
			bound = 0.25
		}
		for _, depth := range []int{8, 16} {
			squares := 0.0
			for i, v := range resampled(t, depth, in, along, down) {
				d := float64(v)/257 - want[i]*255
				squares += d * d
			}
			if rms := math.Sqrt(squares / float64(len(want))); rms > bound {
				t.Errorf("width %d, %d bits: off by %.3f of a step", ow, depth, rms)
			}
		}
	}
}

// A flat picture stays exactly as it is, at every level and any ratio.
func TestFlatStaysFlat(t *testing.T) {
	for _, ratio := range []float64{1, 1.3, 2.5, 7} {
		for level := range 256 {
			g := geometry{in: int(40 * ratio), out: 40, scale: float64(int(40*ratio)) / 40}
			res := newResampler(8, 1, g, g, func(_, _ int, row []uint16) error {
				for _, v := range row {
					if d := int(v) - level*257; d < -1 || d > 1 {
						t.Fatalf("ratio %v, level %d became %v", ratio, level, float64(v)/257)
					}
				}
				return nil
			})
			row := make([]uint8, g.in)
			for i := range row {
				row[i] = uint8(level)
			}
			for range g.in {
				if err := res.row(row); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

// Cutting to 8 bits rounds to the nearest for every 16-bit value.
func TestCutRounds(t *testing.T) {
	p := plane{width: 256, height: 256, pix: make([]uint16, 65536)}
	for i := range p.pix {
		p.pix[i] = uint16(i)
	}
	out := make([]uint8, 65536)
	grain(0).cut(out, p)
	for i, v := range out {
		if want := uint8(math.Round(float64(i) / 257)); v != want {
			t.Fatalf("%d became %d, want %d", i, v, want)
		}
	}
}
