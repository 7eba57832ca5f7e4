// Package scan reads master scans: header, orientation, colour profile and
// pixels of JPEG, PNG and TIFF files. Masters are opened read-only, never
// written, never followed through a symbolic link. What a header claims is
// checked against package limit before anything is allocated; libraries are
// called under recover; a context bounds the time. Every refusal is a *Fault
// that says file, found, accepted and how to mend.
//
// Each format is a package below this one, and so is goexif's fence.
package scan

import (
	"context"
	"time"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/raster"
)

// Fault is what is wrong with a master; see package fault.
type Fault = fault.Fault

// Info is what the header of a scan tells.
type Info struct {
	Format        string    // "JPEG", "PNG" or "TIFF"
	Width, Height int       // pixels, upright: the orientation is applied
	Orientation   int       // EXIF 1–8; 1 if not said
	Channels      int       // 1 grey, 3 colour, 4 CMYK; transparency not counted
	Bits          int       // per channel, 8 or 16
	PPIX, PPIY    float64   // pixels per inch of the upright axes; 0 unknown
	Profile       string    // name of the embedded profile or EXIF colour space; "" if nothing is said, and sRGB is taken
	Taken         time.Time // EXIF wall-clock time held as UTC, a hint only; zero if none
	SizeBytes     int64
}

// TimeLimit bounds one full decode by Verify.
const TimeLimit = 5 * time.Minute

// Limits bound what a scan may ask for; see package limit.
type Limits = limit.Limits

// ReadInfo reads the header only. The error, if any, is a *Fault.
func ReadInfo(path string) (Info, error) { return ReadInfoWithin(path, limit.Default) }

// ReadInfoWithin is ReadInfo with limits of the caller's.
func ReadInfoWithin(path string, lim Limits) (Info, error) {
	m, err := Open(path, lim)
	if err != nil {
		return Info{}, err
	}
	defer m.Close()
	return m.Info(), nil
}

// Verify decodes every pixel and keeps none. The error is a *Fault, or that of
// a context that was cancelled.
func Verify(ctx context.Context, path string) error { return VerifyWithin(ctx, path, limit.Default) }

// VerifyWithin is Verify with limits of the caller's.
func VerifyWithin(ctx context.Context, path string, lim Limits) error {
	ctx, stop := context.WithTimeout(ctx, TimeLimit)
	defer stop()
	m, err := Open(path, lim)
	if err != nil {
		return err
	}
	defer m.Close()
	var d raster.Discard
	if err := m.Decode(ctx, &d); err != nil {
		return err
	}
	if !d.Complete() {
		return fault.In(fault.Damagedf("rows are missing"), path)
	}
	return nil
}
