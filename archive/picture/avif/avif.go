// Package avif writes pictures as AVIF (AV1 Image File Format, AOMedia). The
// encoder is libavif with libaom, compiled to WebAssembly and run inside the
// process by github.com/gen2brain/avif, so that nothing of it can touch memory
// or files of ours.
//
// It is only there if the program was built with the tag nodynamic. Without the
// tag that module would load whatever libavif the machine has, and link the
// program to the system's loader: pictures would differ from machine to
// machine, and a fault in C code would be one of ours.
package avif

import (
	"bytes"
	"errors"
	"image"
)

// ErrAbsent says that this program was built without AVIF.
var ErrAbsent = errors.New("avif: this program was built without the tag nodynamic and cannot write AVIF")

// speed is the encoder's, 0 slowest to 10: slower saves few bytes more.
const speed = 8

// Weight is about how many bytes of memory it takes to encode a picture.
func Weight(width, height int) int64 { return 64<<20 + 64*int64(width)*int64(height) }

// Encode writes an opaque picture with chroma at half size, at a quality of 1 to
// 100. The file holds the coded picture and no metadata.
func Encode(img image.Image, quality int) ([]byte, error) {
	var out bytes.Buffer
	if err := encode(&out, img, quality); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}
