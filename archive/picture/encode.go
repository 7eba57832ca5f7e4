package picture

import (
	"crypto/sha256"
	"encoding/binary"
	"image"

	"sandarac/archive/picture/avif"
	"sandarac/archive/picture/jpeg"
)

// encode makes the bytes of one derivative.
func encode(w *working, o Output) ([]byte, error) {
	g := newGrain(o.Edition)
	if o.AVIF {
		if w.grey() {
			return avif.Encode(w.eightBitGrey(g), o.quality())
		}
		return avif.Encode(w.eightBitColour(g), o.quality())
	}
	packet, err := o.Rights.packet(o.Edition)
	if err != nil {
		return nil, err
	}
	options := jpeg.Options{Quality: o.quality(), App1: [][]byte{packet}}
	if w.grey() {
		return jpeg.Grey(w.eightBitGrey(g), options)
	}
	return jpeg.YCbCr(w.eightBitColour(g), options)
}

func (o Output) quality() int {
	switch {
	case o.Quality == 0 && o.AVIF:
		return DefaultAVIFQuality
	case o.Quality == 0:
		return DefaultQuality
	}
	return max(1, min(o.Quality, 100))
}

// eightBitGrey and eightBitColour are the last step: 16 bits to 8. The first
// leaves colour out.
func (w *working) eightBitGrey(g grain) *image.Gray {
	img := image.NewGray(image.Rect(0, 0, w.width, w.height))
	g.cut(img.Pix, w.luma)
	return img
}

func (w *working) eightBitColour(g grain) *image.YCbCr {
	img := image.NewYCbCr(image.Rect(0, 0, w.width, w.height), image.YCbCrSubsampleRatio420)
	g.cut(img.Y, w.luma)
	g.cut(img.Cb, w.chroma[0])
	g.cut(img.Cr, w.chroma[1])
	return img
}

// grain moves the point of rounding by up to a quarter of an 8-bit step, block
// by block, as the edition says: no eye sees it, and the coded picture of one
// edition is not that of another.
type grain uint64

func newGrain(edition string) grain {
	if edition == "" {
		return 0
	}
	sum := sha256.Sum256([]byte("sandarac grain\x00" + edition))
	return grain(binary.LittleEndian.Uint64(sum[:]) | 1)
}

// rounding is what is added before dividing by 257 in one block of 8 × 8.
func (g grain) rounding(bx, by int) uint32 {
	if g == 0 {
		return 128
	}
	// A multiplicative mix; only spread matters here, not secrecy.
	x := uint64(g) ^ uint64(bx)*0x9E3779B97F4A7C15 ^ uint64(by)*0xC2B2AE3D27D4EB4F
	x ^= x >> 29
	x *= 0xBF58476D1CE4E5B9
	return 64 + uint32(x>>57)
}

func (g grain) cut(dst []uint8, p plane) {
	for y := range p.height {
		src, out := p.row(y), dst[y*p.width:(y+1)*p.width]
		for x := 0; x < len(src); x += 8 {
			round := g.rounding(x/8, y/8)
			part := src[x:min(x+8, len(src))]
			to := out[x:][:len(part)]
			for i, v := range part {
				to[i] = uint8((uint32(v) + round) * 65281 >> 24) // floor(·/257) up to 65,791
			}
		}
	}
}
