package record

import (
	"math"
	"strings"
)

// Format is a plate size. Sizes are of the whole plate, not of what a mat
// shows. Slug is empty for a size of the photographer's own.
type Format struct {
	Slug     string
	Name     string
	WidthMM  float64 // as made, shorter side first for the named sizes
	HeightMM float64
}

// AreaDM2 is the plate's area in square decimetres.
func (f Format) AreaDM2() float64 { return f.WidthMM * f.HeightMM / 1e4 }

const inch = 25.4 // millimetres, exactly

// Formats are the named plate sizes, largest first. The six period sizes are
// the trade's usual ones in inches (collectors' size tables; sizes were never
// standardised and vary by a few millimetres); the last three are modern
// holders. A half plate is not half a whole plate.
var Formats = []Format{
	{"8x10", "8 × 10 in", 8 * inch, 10 * inch},
	{"whole", "whole plate", 6.5 * inch, 8.5 * inch},
	{"5x7", "5 × 7 in", 5 * inch, 7 * inch},
	{"half", "half plate", 4.25 * inch, 5.5 * inch},
	{"4x5", "4 × 5 in", 4 * inch, 5 * inch},
	{"quarter", "quarter plate", 3.25 * inch, 4.25 * inch},
	{"sixth", "sixth plate", 2.75 * inch, 3.25 * inch},
	{"ninth", "ninth plate", 2 * inch, 2.5 * inch},
	{"sixteenth", "sixteenth plate", 1.375 * inch, 1.625 * inch},
	{"gem", "gem", 0.75 * inch, 1 * inch},
}

// variants are other sizes sold under the same name, in inches.
var variants = map[string][][2]float64{
	"half":    {{4.5, 5.5}, {4.75, 6.5}},
	"quarter": {{3.125, 4.125}},
	"sixth":   {{2.5, 3.5}, {2.625, 3.25}},
	"gem":     {{0.5, 1}, {1, 1.25}},
}

// FormatBySlug finds a named size.
func FormatBySlug(slug string) (Format, bool) {
	for _, f := range Formats {
		if f.Slug == slug {
			return f, true
		}
	}
	return Format{}, false
}

// FormatSlugs lists the accepted names.
func FormatSlugs() []string {
	out := make([]string, len(Formats))
	for i, f := range Formats {
		out[i] = f.Slug
	}
	return out
}

// SizeToleranceMM is how far each side of a measured plate may be from its
// named size (common practice: sizes vary by a few millimetres).
const SizeToleranceMM = 4.0

// Fits reports whether a measured size is this format, either way up, within
// the tolerance; variants sold under the same name fit too. Small plates get
// a tighter tolerance, or a gem would pass for a sixteenth.
func (f Format) Fits(widthMM, heightMM float64) bool {
	if fits(f.WidthMM, f.HeightMM, widthMM, heightMM) {
		return true
	}
	for _, v := range variants[f.Slug] {
		if fits(v[0]*inch, v[1]*inch, widthMM, heightMM) {
			return true
		}
	}
	return false
}

func fits(w, h, mw, mh float64) bool {
	if (w < h) != (mw < mh) {
		mw, mh = mh, mw
	}
	tol := math.Min(SizeToleranceMM, 0.08*math.Max(w, h))
	return math.Abs(w-mw) <= tol && math.Abs(h-mh) <= tol
}

// FormatOf names a measured size, the closest of those that fit.
func FormatOf(widthMM, heightMM float64) (Format, bool) {
	best, least := Format{}, math.MaxFloat64
	short, long := math.Min(widthMM, heightMM), math.Max(widthMM, heightMM)
	for _, f := range Formats {
		if !f.Fits(widthMM, heightMM) {
			continue
		}
		if d := math.Abs(f.WidthMM-short) + math.Abs(f.HeightMM-long); d < least {
			best, least = f, d
		}
	}
	return best, best.Slug != ""
}

// FormatNamed finds a size by the ways people write its name: “half”, “Half
// plate”, “4 × 5 in”.
func FormatNamed(s string) (Format, bool) {
	s = strings.ToLower(strings.ReplaceAll(s, "×", "x"))
	for _, end := range []string{"plate", "inches", "inch", "in", "\""} {
		s = strings.TrimSuffix(strings.TrimRight(s, " -"), end)
	}
	return FormatBySlug(strings.ReplaceAll(strings.Trim(s, " -"), " ", ""))
}
