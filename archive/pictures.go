package archive

import (
	"context"
	"runtime"
	"slices"

	"sandarac/archive/benchbook"
	"sandarac/archive/check"
	"sandarac/archive/finding"
	"sandarac/archive/gallery"
	"sandarac/archive/picture"
	"sandarac/archive/portfolio"
	"sandarac/archive/record"
)

// pictures are the sets that one pass over the scans made. Each consumer sees
// only what it asked for, in the order it asked.
type pictures struct {
	portfolio, gallery, bench, audit map[string]picture.Set // by master
}

// referenceWidth is wide enough for the audit to recognise a plate by.
const referenceWidth = 320

// references asks for a small picture of every scan, published or not, broken
// or not: the audit looks for them in the finished tree.
func references(a *record.Archive) []picture.Job {
	var out []picture.Job
	for _, p := range a.Plates {
		for _, rel := range p.Scans {
			out = append(out, picture.Job{Master: a.Path(rel), Outputs: []picture.Output{{Width: referenceWidth, Edition: "audit"}}})
		}
	}
	return out
}

// makePictures makes what all three consumers ask for in one pass, so that each
// scan is decoded once. A scan that cannot be decoded breaks its plate; the
// views are then taken anew, without it.
func (b *build) makePictures(ctx context.Context) error {
	b.views()
	b.canAVIF()
	maker, err := picture.New(picturesDir(b.opt.Root), picture.Options{})
	if err != nil {
		return err
	}
	wanted := [][]picture.Job{portfolio.Jobs(b.site), gallery.Jobs(b.galleries, b.rights()),
		benchbook.Jobs(b.out.Archive, b.rights()), references(b.out.Archive)}
	jobs := merge(slices.Concat(wanted...))
	sets, faults, err := maker.Make(ctx, jobs, func(done, total int) { b.opt.Report.Step("pictures", done, total) })
	if err != nil {
		return err
	}
	b.out.Decoded = maker.Decoded()
	b.note("pictures   %d scans, %d of them decoded now", len(sets), b.out.Decoded)
	b.pictures = pictures{portfolio: pick(sets, wanted[0]), gallery: pick(sets, wanted[1]), bench: pick(sets, wanted[2]), audit: pick(sets, wanted[3])}
	if b.breakPlates(faults) {
		b.views()
	}
	if b.breakCopies() {
		b.views()
	}
	runtime.GC() // a decode's planes are not needed while Hugo runs
	return nil
}

// canAVIF says so if pictures were asked for that this program cannot make. The
// site is whole without them.
func (b *build) canAVIF() {
	if studio := b.out.Archive.Studio; studio.AVIF && !picture.CanAVIF {
		b.fault(finding.Finding{Severity: finding.Warning, Code: "no-avif", File: studio.File, Line: studio.Line("avif"),
			Message: "avif is on, but this sandarac was built without it; pages have JPEG files only",
			Remedy:  "build sandarac with go build -tags nodynamic, or write avif: false"})
	}
}

// breakPlates reports scans that could not be decoded.
func (b *build) breakPlates(faults map[string]error) bool {
	if len(faults) == 0 {
		return false
	}
	for _, p := range b.out.Archive.Plates {
		for _, rel := range p.Scans {
			if err, bad := faults[b.out.Archive.Path(rel)]; bad {
				b.fault(check.ScanFault(p, rel, err))
			}
		}
	}
	return true
}

// merge joins jobs of one master, keeping the order in which masters came.
func merge(jobs []picture.Job) []picture.Job {
	at := map[string]int{}
	var out []picture.Job
	for _, j := range jobs {
		i, ok := at[j.Master]
		if !ok {
			i = len(out)
			at[j.Master] = i
			out = append(out, picture.Job{Master: j.Master})
		}
		for _, o := range j.Outputs {
			if !slices.Contains(out[i].Outputs, o) {
				out[i].Outputs = append(out[i].Outputs, o)
			}
		}
	}
	return out
}

// pick gives each job's own outputs out of the merged sets.
func pick(sets map[string]picture.Set, jobs []picture.Job) map[string]picture.Set {
	out := map[string]picture.Set{}
	for _, j := range jobs {
		set, ok := sets[j.Master]
		if !ok {
			continue
		}
		own := set
		if have, ok := out[j.Master]; ok {
			own.Files = have.Files
		} else {
			own.Files = nil
		}
		for _, f := range set.Files {
			if slices.Contains(j.Outputs, f.Output) {
				own.Files = append(own.Files, f)
			}
		}
		out[j.Master] = own
	}
	return out
}
