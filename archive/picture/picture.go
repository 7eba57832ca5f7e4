// Package picture makes the derivatives of master scans: JPEG files (and AVIF
// where asked for) at given widths, upright, in sRGB, grey where the picture is grey, with one XMP packet
// of credit, copyright and licence and nothing else of the master's metadata.
//
// One decode of a master serves all its widths, the smaller made from a larger
// one (see ladder). Planes are kept as they come (grey, luma and chroma, 16
// bits) and cut to 8 bits in the last step only.
//
// Widths are pixel widths of the upright picture, not its long side. Nothing is
// enlarged: a width above the master's gives the master's own width.
//
// Pictures are reduced by Lanczos (a = 3) on encoded values, not in linear
// light: it is what the reference resizers do, it keeps the tones of a plate's
// fine grain as the scan shows them, and it lets luma and chroma be reduced as
// they are stored. So a one-pixel checkerboard of black and white becomes
// mid-grey 128, as a test holds. The colour profile is applied after the first
// reduction.
//
// It is the only package that imports github.com/disintegration/imaging; see
// imaging.go for what it is used for and how it is fenced.
package picture

import (
	"sandarac/archive/picture/avif"
	"sandarac/archive/scan"
)

// Rights are written into every derivative. Empty fields are left out.
type Rights struct {
	Creator    string // dc:creator
	Credit     string // photoshop:Credit
	Copyright  string // dc:rights; also sets xmpRights:Marked
	LicenceURL string // xmpRights:WebStatement
}

// Output is one file wanted of a master.
type Output struct {
	Width   int  // pixels of the upright picture; 0 is the master's full size
	Quality int  // 1–100 on the scale of the format; 0 is DefaultQuality or DefaultAVIFQuality
	AVIF    bool // AVIF instead of JPEG, without metadata; only if CanAVIF
	Rights  Rights
	// Edition separates encodings meant for one audience, such as "public",
	// "bench" or "gallery:3f2a". Files of the same size and different edition
	// never have the same bytes or the same coded picture. (AVIF files are not
	// held to that: they are made for one audience only.)
	Edition string
}

// DefaultQuality is used where an Output names none.
const DefaultQuality = 82

// DefaultAVIFQuality is the same for AVIF, whose scale is another. On plates with
// their grain, 1200 pixels wide, it gives about the structural similarity to the
// master of a JPEG of quality 78 (0.971 to 0.975) in three fifths of the bytes.
const DefaultAVIFQuality = 80

// CanAVIF reports whether this program was built with AVIF; see package avif.
const CanAVIF = avif.Available

// Job is a master and what is wanted of it.
type Job struct {
	Master  string // path
	Outputs []Output
}

// File is a finished derivative in the cache. It must not be changed; its
// name says nothing of the master.
type File struct {
	Output        Output
	Path          string
	Width, Height int
	Bytes         int64
	SHA256        [32]byte
	Grey          bool
}

// Set is all that was made of a master.
type Set struct {
	Master string
	// Files has one element for each Output in its order; if a master was named
	// by several jobs, their Outputs follow each other. Outputs that come to
	// the same file, because nothing is enlarged, share its Path.
	Files []File
	Info  scan.Info
	Tone  float64 // mean luma of the upright picture, sRGB-encoded, 0 black to 1 white
	Hash  uint64  // perceptual hash, see package likeness
}
