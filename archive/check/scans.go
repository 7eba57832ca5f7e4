package check

import (
	"context"
	"errors"
	"fmt"
	"math"
	"runtime"
	"sync/atomic"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/finding"
	"sandarac/archive/record"
	"sandarac/archive/scan"
)

// scans reads each scan's header (Deep: every pixel) on all cores and compares
// what it measures with what the record says.
func (c *checker) scans(ctx context.Context, opt Options) error {
	type look struct {
		plate *record.Plate
		rel   string
		face  bool
		info  scan.Info
		err   error
	}
	var looks []look
	for _, p := range c.archive.Plates {
		for i, rel := range p.Scans {
			looks = append(looks, look{plate: p, rel: rel, face: i == 0})
		}
	}
	var done atomic.Int64
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range looks {
		g.Go(func() error {
			l := &looks[i]
			name := c.archive.Path(l.rel)
			if l.info, l.err = scan.ReadInfo(name); l.err == nil && opt.Deep {
				l.err = scan.Verify(ctx, name)
			}
			if opt.Progress != nil {
				opt.Progress(int(done.Add(1)), len(looks))
			}
			return ctx.Err()
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	for _, l := range looks {
		if l.err != nil {
			c.add(ScanFault(l.plate, l.rel, l.err))
			continue
		}
		if l.face {
			c.measure(l.plate, l.rel, l.info)
		}
	}
	return nil
}

// ScanFault turns what went wrong with a scan into a finding about its plate,
// which it breaks.
func ScanFault(p *record.Plate, rel string, err error) finding.Finding {
	p.Broken = true
	f := finding.Finding{Severity: finding.Error, Code: "bad-scan", File: rel, Plate: p.ID,
		Message: "the scan cannot be read: " + err.Error(), Remedy: "open it in an imaging program and save it again, or scan the plate anew"}
	var fault *scan.Fault
	if errors.As(err, &fault) {
		f.Message, f.Remedy = fault.Message(), fault.Remedy()
	}
	return f
}

// Resolutions outside this range are placeholders that programs write when they
// know none, such as 1 or 72 dots per inch.
const leastPPI = 100

// measure compares a scan's size in millimetres with the plate's.
func (c *checker) measure(p *record.Plate, rel string, info scan.Info) {
	say := func(s finding.Severity, code, message, remedy string) {
		c.add(finding.Finding{Severity: s, Code: code, File: p.File, Line: p.Line("format"), Message: message, Remedy: remedy, Plate: p.ID})
	}
	if info.PPIX < leastPPI || info.PPIY < leastPPI {
		c.add(finding.Finding{Severity: finding.Remark, Code: "no-resolution", File: rel, Plate: p.ID,
			Message: "the scan does not say its resolution, so its size cannot be compared with the plate", Remedy: "nothing to mend; a scanning program can write it into the file"})
		return
	}
	w, h := float64(info.Width)/info.PPIX*25.4, float64(info.Height)/info.PPIY*25.4
	is, known := record.FormatOf(w, h)
	measured := fmt.Sprintf("%.0f × %.0f mm", math.Min(w, h), math.Max(w, h))
	if w > h {
		measured = fmt.Sprintf("%.0f × %.0f mm", w, h)
	}
	switch {
	case p.Format.WidthMM == 0:
		if known {
			say(finding.Remark, "format-guess", fmt.Sprintf("scan measures %s, which is %s; the record names no size", measured, called(is)), "add format: "+is.Slug)
		}
	case fitsPlate(p.Format, w, h):
	case known:
		say(finding.Warning, "size-mismatch", fmt.Sprintf("scan measures %s, which is %s; the record says %s", measured, called(is), called(p.Format)), "correct format:, or trim the scan to the plate")
	default:
		say(finding.Warning, "size-mismatch", fmt.Sprintf("scan measures %s, which is no named plate size; the record says %s", measured, called(p.Format)), "correct format: or give size_mm:, or trim the scan to the plate")
	}
}

// called is a plate size as it is spoken of: "a quarter plate", "4 × 5 in".
func called(f record.Format) string {
	if f.Slug == "" || f.Name[0] >= '0' && f.Name[0] <= '9' {
		return f.Name
	}
	return "a " + f.Name
}

func fitsPlate(f record.Format, w, h float64) bool {
	if f.Slug != "" {
		return f.Fits(w, h)
	}
	fw, fh := f.WidthMM, f.HeightMM
	if (fw < fh) != (w < h) {
		w, h = h, w
	}
	return math.Abs(fw-w) <= record.SizeToleranceMM && math.Abs(fh-h) <= record.SizeToleranceMM
}
