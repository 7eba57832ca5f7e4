//go:build !nodynamic

package avif

import (
	"image"
	"io"
)

// Available reports whether Encode can work.
const Available = false

func encode(io.Writer, image.Image, int) error { return ErrAbsent }
