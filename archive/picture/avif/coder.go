//go:build nodynamic

package avif

import (
	"image"
	"io"

	"github.com/gen2brain/avif"
)

// Available reports whether Encode can work.
const Available = true

func encode(w io.Writer, img image.Image, quality int) error {
	return avif.Encode(w, img, avif.Options{Quality: quality, QualityAlpha: 100, Speed: speed, ChromaSubsampling: image.YCbCrSubsampleRatio420})
}
