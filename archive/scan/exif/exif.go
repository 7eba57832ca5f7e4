// Package exif reads the few EXIF tags of a scan that matter here: how it is
// turned, how dense its pixels are, which colour space an untagged file means,
// and, as a hint only, when it was taken. Nothing else is looked at; a plate's
// exposure is never read from its scan.
//
// It is the only package that imports github.com/rwcarlsen/goexif, whose known
// faults are: a lying count makes it allocate 4 GiB, two IFDs that point at each
// other make it loop for ever, and several accessors panic. So the library
// never sees the file: the IFDs are walked and checked here first, and a block
// of a few hundred bytes that holds only the wanted entries is built for it.
// Its maker-note parsers are never registered.
package exif

import (
	"bytes"
	"io"
	"math"
	"strings"
	"time"

	"github.com/rwcarlsen/goexif/exif"

	"sandarac/archive/scan/fault"
)

// Tags are what was found; zero values mean "not said".
type Tags struct {
	Orientation int       // 1 to 8, 0 not said
	PPIX, PPIY  float64   // pixels per inch of the stored axes
	Taken       time.Time // wall-clock time with an unknown zone, held as UTC
	ColorSpace  int       // 1 sRGB, 65535 uncalibrated
	Interop     string    // "R98" sRGB, "R03" Adobe RGB
}

// AdobeRGB reports whether an untagged file means Adobe RGB (1998):
// uncalibrated with interoperability R03, as DCF 2.0 has it.
func (t Tags) AdobeRGB() bool { return t.ColorSpace == 65535 && t.Interop == "R03" }

// Read reads the tags of a TIFF structure of the given size: the body of a
// JPEG's Exif segment, of a PNG's eXIf chunk, or a TIFF file itself.
func Read(r io.ReaderAt, size int64) (Tags, error) {
	block, err := distil(r, size)
	if err != nil {
		return Tags{}, err
	}
	return decode(block)
}

func decode(block []byte) (t Tags, err error) {
	defer fault.Recover("goexif", &err)
	x, err := exif.Decode(bytes.NewReader(block))
	if err != nil {
		return Tags{}, &fault.Fault{Kind: fault.Metadata, Found: "the EXIF block is damaged", Mend: mend, Err: err}
	}
	if n := integer(x, exif.Orientation); n >= 1 && n <= 8 {
		t.Orientation = n
	}
	unit := 1.0
	switch integer(x, exif.ResolutionUnit) {
	case 0, 2: // inch, also the default
	case 3:
		unit = 2.54
	default:
		unit = 0
	}
	t.PPIX = unit * ratio(x, exif.XResolution)
	t.PPIY = unit * ratio(x, exif.YResolution)
	if t.PPIX <= 0 || t.PPIY <= 0 {
		t.PPIX, t.PPIY = 0, 0
	}
	t.ColorSpace = integer(x, exif.ColorSpace)
	t.Interop = text(x, exif.InteroperabilityIndex)
	for _, name := range []exif.FieldName{exif.DateTimeOriginal, exif.DateTimeDigitized, exif.DateTime} {
		if at, err := time.Parse("2006:01:02 15:04:05", text(x, name)); err == nil {
			t.Taken = at
			break
		}
	}
	return t, nil
}

// integer is 0 if the tag is missing or not an integer.
func integer(x *exif.Exif, name exif.FieldName) int {
	tag, err := x.Get(name)
	if err != nil || tag.Count < 1 {
		return 0
	}
	n, err := tag.Int(0)
	if err != nil {
		return 0
	}
	return n
}

// ratio is 0 if the tag is missing, not a ratio, or divides by zero.
func ratio(x *exif.Exif, name exif.FieldName) float64 {
	tag, err := x.Get(name)
	if err != nil || tag.Count < 1 {
		return 0
	}
	num, den, err := tag.Rat2(0)
	if err != nil || den == 0 {
		return 0
	}
	v := float64(num) / float64(den)
	if v < 1 || v > 1e6 || math.IsNaN(v) {
		return 0
	}
	return v
}

func text(x *exif.Exif, name exif.FieldName) string {
	tag, err := x.Get(name)
	if err != nil {
		return ""
	}
	s, err := tag.StringVal()
	if err != nil {
		return ""
	}
	s, _, _ = strings.Cut(s, "\x00")
	return strings.TrimSpace(s)
}
