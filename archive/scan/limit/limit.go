// Package limit bounds what a scan may ask for. Every number is checked
// against the header before anything of that size is allocated.
package limit

import (
	"fmt"

	"sandarac/archive/scan/fault"
)

// Limits of one master.
type Limits struct {
	Pixels int64 // width × height
}

// Default is enough for a whole plate at 2,400 ppi.
var Default = Limits{Pixels: 400_000_000}

const (
	// Side is the longest side, in pixels: what JPEG can hold, less a margin.
	Side = 65_500
	// Profile is the largest ICC profile, in bytes.
	Profile = 4 << 20
	// Directories is the most IFDs followed in one EXIF block or TIFF file.
	Directories = 8
	// Entry is the largest value of one IFD entry that is read, in bytes.
	Entry = 1 << 20
	// Segments is the most marker segments or chunks before the pixels.
	Segments = 10_000
	// Scans is the most scans of one progressive JPEG; encoders write about ten.
	Scans = 100
)

// Size checks a width and height from a header.
func (l Limits) Size(width, height int64) error {
	if width < 1 || height < 1 {
		return fault.Damagedf("the header says %d × %d pixels", width, height)
	}
	if width > Side || height > Side {
		return &fault.Fault{
			Kind:     fault.TooLarge,
			Found:    fmt.Sprintf("the picture is %d × %d pixels", width, height),
			Accepted: fmt.Sprintf("sides up to %d pixels", Side),
			Mend:     "scan at a lower resolution, or reduce a copy",
		}
	}
	limit := l.Pixels
	if limit <= 0 {
		limit = Default.Pixels
	}
	if width*height > limit {
		return &fault.Fault{
			Kind:     fault.TooLarge,
			Found:    fmt.Sprintf("the picture is %d × %d, %d megapixels", width, height, width*height/1_000_000),
			Accepted: fmt.Sprintf("up to %d megapixels", limit/1_000_000),
			Mend:     "scan at a lower resolution, or raise the limit if the scan is meant to be so large",
		}
	}
	return nil
}
