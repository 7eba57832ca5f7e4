package fixity

import (
	"cmp"
	"context"
	"math"
	"os"
	"slices"
	"time"

	"sandarac/archive/finding"
	"sandarac/archive/swap"
)

// VerifyOptions of [Manifest.Verify].
type VerifyOptions struct {
	// Percent of the recorded files to read whole, those first that were not
	// read for longest: 0 is the quick check, by names, sizes and times; 100 reads
	// all. A large archive is checked in rounds.
	Percent  float64
	Progress Progress
}

// Verify compares the files with what is recorded. Whatever looks changed, and
// what could be a missing file under a new name, is read in any case. Of the
// manifest only the times of the checks are written; that they cannot be, on a
// backup that may not be written to, is a warning and no more.
func (m *Manifest) Verify(ctx context.Context, archive string, files []File, opt VerifyOptions) (Report, []finding.Finding, error) {
	root, err := os.OpenRoot(archive)
	if err != nil {
		return Report{}, nil, err
	}
	defer root.Close()
	states := look(root, m.all(files))
	gone := m.goneSizes(states)
	var toRead, alike []*state
	for _, s := range states {
		if s.missing || s.problem != "" {
			continue
		}
		e, known := m.entries[s.Path]
		switch {
		case known && e.same(s.size, s.modTime):
			alike = append(alike, s)
		case known || gone[s.size] || gone[-1]:
			toRead = append(toRead, s)
		}
	}
	slices.SortStableFunc(alike, func(a, b *state) int {
		return cmp.Compare(m.entries[a.Path].Checked.Unix(), m.entries[b.Path].Checked.Unix())
	})
	round := int(math.Ceil(min(max(opt.Percent, 0), 100) / 100 * float64(len(alike))))
	toRead = append(toRead, alike[:round]...)
	// In the order of the disk's folders, as far as a name tells it.
	slices.SortFunc(toRead, func(a, b *state) int { return cmp.Compare(a.Path, b.Path) })
	if err := readAll(ctx, root, toRead, opt.Progress); err != nil {
		return Report{}, nil, err
	}
	r := &run{Manifest: m, now: time.Now()}
	r.judge(states)
	if len(m.entries) > 0 {
		if err := m.save(); err != nil {
			r.found = append(r.found, notNoted(err))
		}
	}
	finding.Sort(r.found)
	return r.report, r.found, nil
}

func notNoted(err error) finding.Finding {
	why, _ := swap.Reason(err)
	if why == "" {
		why = err.Error()
	}
	return finding.Finding{Severity: finding.Warning, Code: "fixity-not-noted", File: ".sandarac/fixity/" + factsName,
		Message: "when the files were read could not be noted: " + why,
		Remedy:  "nothing to mend on a disk that may not be written to; the files were compared all the same"}
}

// goneSizes gives the sizes of recorded files that are no longer there; −1 if the
// size of one is not known.
func (m *Manifest) goneSizes(states []*state) map[int64]bool {
	there := map[string]bool{}
	for _, s := range states {
		there[s.Path] = !s.missing
	}
	gone := map[int64]bool{}
	for path, e := range m.entries {
		if there[path] {
			continue
		}
		if e.ModTime.IsZero() {
			gone[-1] = true
		} else {
			gone[e.Size] = true
		}
	}
	return gone
}
