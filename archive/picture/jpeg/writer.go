// Package jpeg writes baseline JPEG (ITU-T T.81) of grey or 4:2:0 pictures in
// 8 bits with Huffman tables made for each picture, about a seventh smaller
// than with the standard tables at the same pixels. It writes what it is told
// and no segment more: no JFIF, no comment, no profile.
package jpeg

import (
	"errors"
	"image"
)

// Options of one file.
type Options struct {
	Quality int      // 1–100, scaling the tables of T.81 annex K.1 as is usual
	App1    [][]byte // bodies of APP1 segments, written after the start of image
}

// ErrPicture says that a picture cannot be written as baseline JPEG.
var ErrPicture = errors.New("jpeg: sides must be 1 to 65,535 pixels, chroma 4:2:0, segments under 64 KiB")

// component is a plane and its place in the tables.
type component struct {
	pix           []uint8
	width, height int
	stride        int
	luma          bool
	last          int32 // DC of the block before
}

// Grey encodes a grey picture.
func Grey(img *image.Gray, o Options) ([]byte, error) {
	b := img.Rect
	return encode(b, []*component{{pix: img.Pix[img.PixOffset(b.Min.X, b.Min.Y):], width: b.Dx(), height: b.Dy(), stride: img.Stride, luma: true}}, o)
}

// YCbCr encodes a picture of halved chroma whose origin is even.
func YCbCr(img *image.YCbCr, o Options) ([]byte, error) {
	b := img.Rect
	if img.SubsampleRatio != image.YCbCrSubsampleRatio420 || b.Min.X%2 != 0 || b.Min.Y%2 != 0 {
		return nil, ErrPicture
	}
	w, h := (b.Dx()+1)/2, (b.Dy()+1)/2
	c := img.COffset(b.Min.X, b.Min.Y)
	return encode(b, []*component{
		{pix: img.Y[img.YOffset(b.Min.X, b.Min.Y):], width: b.Dx(), height: b.Dy(), stride: img.YStride, luma: true},
		{pix: img.Cb[c:], width: w, height: h, stride: img.CStride},
		{pix: img.Cr[c:], width: w, height: h, stride: img.CStride},
	}, o)
}

func encode(b image.Rectangle, parts []*component, o Options) ([]byte, error) {
	if b.Empty() || b.Dx() > 65535 || b.Dy() > 65535 {
		return nil, ErrPicture
	}
	quality := max(1, min(o.Quality, 100))
	e := &encoder{parts: parts, quant: [2]divisors{newDivisors(&lumaTable, quality), newDivisors(&chromaTable, quality)}}
	e.tokens = make([]token, 0, b.Dx()*b.Dy()/6+64)
	e.blocks(b.Dx(), b.Dy())
	var tables [4]*table
	for i := range tables[:min(4, 4*len(parts)-2)] { // two for grey
		tables[i] = newTable(&e.counts[i])
	}
	w := &writer{out: make([]byte, 0, len(e.tokens)+1024)}
	if err := w.head(b.Dx(), b.Dy(), e, tables, o); err != nil {
		return nil, err
	}
	w.entropy(e.tokens, tables)
	w.out = append(w.out, 0xFF, 0xD9)
	return w.out, nil
}

// encoder gathers the tokens of all blocks and how often each symbol comes.
type encoder struct {
	parts  []*component
	quant  [2]divisors
	tokens []token
	counts [4][256]int // DC luma, AC luma, DC chroma, AC chroma
}

// blocks goes through the picture by MCUs: a block of grey, or four of luma and
// one each of chroma.
func (e *encoder) blocks(width, height int) {
	if len(e.parts) == 1 {
		for y := 0; y < height; y += 8 {
			for x := 0; x < width; x += 8 {
				e.block(e.parts[0], x, y)
			}
		}
		return
	}
	for y := 0; y < height; y += 16 {
		for x := 0; x < width; x += 16 {
			e.block(e.parts[0], x, y)
			e.block(e.parts[0], x+8, y)
			e.block(e.parts[0], x, y+8)
			e.block(e.parts[0], x+8, y+8)
			e.block(e.parts[1], x/2, y/2)
			e.block(e.parts[2], x/2, y/2)
		}
	}
}

// block transforms and quantises the block at x, y, edges repeated beyond the
// plane, and turns it into tokens.
func (e *encoder) block(c *component, x, y int) {
	var in [64]uint8
	from, stride := in[:], 8
	if x+8 <= c.width && y+8 <= c.height {
		from, stride = c.pix[y*c.stride+x:], c.stride
	} else {
		for i := range in {
			in[i] = c.pix[min(y+i/8, c.height-1)*c.stride+min(x+i%8, c.width-1)]
		}
	}
	var b [64]int32
	forward(from, stride, &b)
	set, q := 0, &e.quant[1]
	if c.luma {
		q = &e.quant[0]
	} else {
		set = 2
	}
	q.quantise(&b)
	dc := b[0] - c.last
	c.last = b[0]
	e.add(set, 0, dc)
	run := 0
	for _, n := range q.order[1:] {
		v := b[n]
		if v == 0 {
			run++
			continue
		}
		for ; run > 15; run -= 16 {
			e.add(set+1, 15, 0)
		}
		e.add(set+1, run, v)
		run = 0
	}
	if run > 0 {
		e.add(set+1, 0, 0)
	}
}

// token is a symbol with the bits that follow it: the bits in 0–15, the symbol
// (run and size, T.81 F.1.2) in 16–23, the table in 24–25.
type token uint32

func (e *encoder) add(set, run int, v int32) {
	size := bitLength(v)
	symbol := run<<4 | size
	e.counts[set][symbol]++
	low := uint32(v + v>>31) // negative numbers are written less one
	e.tokens = append(e.tokens, token(uint32(set)<<24|uint32(symbol)<<16|low&(1<<size-1)))
}
