package archive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"time"

	"sandarac/archive/finding"
	"sandarac/archive/fixity"
	"sandarac/archive/record"
	"sandarac/archive/swap"
)

func fixityDir(root string) string { return filepath.Join(toolDir(root), "fixity") }

// masters lists every scan and every record of an archive, sorted. Scans that no
// record claims, and records that cannot be read, count too: they are the
// photographer's all the same.
func masters(a *record.Archive) []fixity.File {
	kinds := map[string]fixity.Kind{}
	for _, rel := range a.Orphans {
		kinds[rel] = fixity.Master
	}
	for _, p := range a.Plates {
		kinds[p.File] = fixity.Sidecar
		for _, rel := range p.Scans {
			kinds[rel] = fixity.Master
		}
	}
	for _, rel := range a.Unreadable {
		kinds[rel] = fixity.Sidecar
	}
	kinds[a.Studio.File] = fixity.Sidecar
	for _, b := range a.Batches {
		kinds[b.File] = fixity.Sidecar
	}
	for _, c := range a.Clients {
		kinds[c.File] = fixity.Sidecar
	}
	for _, s := range a.Sitters {
		kinds[s.File] = fixity.Sidecar
	}
	delete(kinds, "")
	out := make([]fixity.File, 0, len(kinds))
	for rel, kind := range kinds {
		out = append(out, fixity.File{Path: rel, Kind: kind})
	}
	slices.SortFunc(out, func(a, b fixity.File) int { return strings.Compare(a.Path, b.Path) })
	return out
}

// openFixity reads the archive and its manifest under the lock. With
// reading, it is opened without the lock where nothing may be written: on a
// backup, where nobody else can be at work either.
func openFixity(ctx context.Context, opt LookOptions, doing string, reading bool) (a *record.Archive, m *fixity.Manifest, fs []finding.Finding, release func(), err error) {
	if err := ownPlaces(opt.Root); err != nil {
		return nil, nil, nil, nil, err
	}
	if a, _, err = record.Read(ctx, opt.Root); err != nil {
		return nil, nil, nil, nil, err
	}
	lock, err := swap.AcquireWait(ctx, filepath.Join(toolDir(opt.Root), "lock"), doing, func(h swap.Holder) {
		opt.Report.Note("another run is at work on this archive (" + h.String() + "); waiting for it")
	})
	release = func() {}
	switch {
	case err == nil:
		release = func() { _ = lock.Release() }
	case !reading || !errors.Is(err, syscall.EROFS) && !errors.Is(err, os.ErrPermission):
		return nil, nil, nil, nil, err
	}
	m, fs, err = fixity.Open(fixityDir(opt.Root))
	if err != nil {
		release()
		return nil, nil, nil, nil, err
	}
	return a, m, fs, release, nil
}

func bytesRead(r Reporter) fixity.Progress {
	const kilo = 1 << 10
	return func(done, total int64) { r.Step("checksums, KB", int(done/kilo), int(total/kilo)) }
}

// FixityRecord takes the checksums of what has none yet. replace and forget name
// files whose change or loss is meant.
func FixityRecord(ctx context.Context, opt LookOptions, replace, forget []string) (fixity.Report, []finding.Finding, error) {
	a, m, fs, release, err := openFixity(ctx, opt, "fixity record", false)
	if err != nil {
		return fixity.Report{}, nil, err
	}
	defer release()
	report, more, err := m.Record(ctx, a.Root, masters(a), fixity.RecordOptions{Replace: replace, Forget: forget, Progress: bytesRead(opt.Report)})
	return report, append(fs, more...), err
}

// FixityVerify compares files with their checksums. Percent says how much is read
// whole, longest unread first; 0 compares names, sizes and times only.
func FixityVerify(ctx context.Context, opt LookOptions, percent float64) (fixity.Report, []finding.Finding, error) {
	a, m, fs, release, err := openFixity(ctx, opt, "fixity verify", true)
	if err != nil {
		return fixity.Report{}, nil, err
	}
	defer release()
	report, more, err := m.Verify(ctx, a.Root, masters(a), fixity.VerifyOptions{Percent: percent, Progress: bytesRead(opt.Report)})
	return report, append(fs, more...), err
}

// Portion is what part of an archive goes into a bag: one plate, the plates made
// in a span of days with all other records, or everything (the zero value).
type Portion struct {
	Plate    string
	From, To record.Date
}

// ErrNoPlate says that the plate asked for is not in the archive.
var ErrNoPlate = errors.New("there is no such plate")

// FixityBag hands files on as a BagIt bag in a new folder.
func FixityBag(ctx context.Context, opt LookOptions, place string, portion Portion) (int, error) {
	a, m, _, release, err := openFixity(ctx, opt, "fixity bag", true)
	if err != nil {
		return 0, err
	}
	defer release()
	files, err := portion.of(a)
	if err != nil {
		return 0, err
	}
	today, err := opt.Today(a.Studio.Zone)
	if err != nil {
		return 0, err
	}
	return len(files), m.Export(ctx, a.Root, files, place, fixity.ExportOptions{
		Info:     []fixity.Label{{Name: "Source-Organization", Value: a.Studio.Name}, {Name: "External-Description", Value: portion.String()}},
		Today:    today.Start(time.UTC),
		Progress: bytesRead(opt.Report),
	})
}

func (p Portion) String() string {
	switch {
	case p.Plate != "":
		return "plate " + p.Plate
	case !p.From.IsZero() || !p.To.IsZero():
		return fmt.Sprintf("plates made from %s to %s, with all records of batches, clients and sitters", p.From, p.To)
	}
	return "the whole archive"
}

// of lists the files of a portion. Every bag holds the studio record.
func (p Portion) of(a *record.Archive) ([]fixity.File, error) {
	all := masters(a)
	if p == (Portion{}) {
		return all, nil
	}
	plates, wanted := map[string]bool{}, map[string]bool{a.Studio.File: true}
	for _, plate := range a.Plates {
		day := plate.MadeOn()
		in := p.Plate == plate.ID || p.Plate == "" && (p.From.IsZero() || !day.Before(p.From)) && (p.To.IsZero() || !day.After(p.To))
		for _, rel := range append([]string{plate.File}, plate.Scans...) {
			plates[rel] = true
			wanted[rel] = wanted[rel] || in
		}
	}
	if p.Plate != "" {
		plate, ok := a.Plate(p.Plate)
		if !ok {
			return nil, fmt.Errorf("%w: %s", ErrNoPlate, p.Plate)
		}
		plate.Batches.Each(func(_, id string) {
			if b, ok := a.Batches[id]; ok {
				wanted[b.File] = true
			}
		})
	}
	return slices.DeleteFunc(all, func(f fixity.File) bool {
		if p.Plate == "" && f.Kind == fixity.Sidecar && !plates[f.Path] {
			return false // batches, clients, sitters go with every season
		}
		return !wanted[f.Path]
	}), nil
}
