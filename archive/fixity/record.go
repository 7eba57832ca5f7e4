package fixity

import (
	"context"
	"fmt"
	"os"
	"slices"
	"time"

	"sandarac/archive/finding"
)

// RecordOptions of [Manifest.Record].
type RecordOptions struct {
	// Replace names files whose new content is to be taken for right.
	Replace []string
	// Forget names files that are gone on purpose.
	Forget   []string
	Progress Progress
}

// Record takes the sums of what is not recorded yet and writes the manifest. What
// is recorded is read only if its size or time changed. A master with other bytes
// than before keeps its recorded sum and is an error, unless it is named in
// Replace; a sidecar that was edited is recorded anew. A file that is gone stays
// recorded until it is named in Forget, or until its bytes turn up under another
// name.
func (m *Manifest) Record(ctx context.Context, archive string, files []File, opt RecordOptions) (Report, []finding.Finding, error) {
	root, err := os.OpenRoot(archive)
	if err != nil {
		return Report{}, nil, err
	}
	defer root.Close()
	for _, path := range opt.Forget {
		if _, known := m.entries[path]; !known {
			return Report{}, nil, fmt.Errorf("%s is not recorded; nothing was changed", path)
		}
	}
	states := look(root, m.all(files))
	for _, path := range opt.Replace {
		if !slices.ContainsFunc(states, func(s *state) bool { return s.Path == path && !s.missing }) {
			return Report{}, nil, fmt.Errorf("%s is no master or sidecar of this archive; nothing was changed", path)
		}
	}
	for _, path := range opt.Forget {
		delete(m.entries, path)
	}
	var toRead []*state
	for _, s := range states {
		e, known := m.entries[s.Path]
		if !s.missing && s.problem == "" && (!known || !e.same(s.size, s.modTime) || slices.Contains(opt.Replace, s.Path)) {
			toRead = append(toRead, s)
		}
	}
	if err := readAll(ctx, root, toRead, opt.Progress); err != nil {
		return Report{}, nil, err
	}
	r := &run{Manifest: m, now: time.Now(), replace: opt.Replace, recording: true}
	r.judge(states)
	if err := m.save(); err != nil {
		return r.report, r.found, err
	}
	finding.Sort(r.found)
	return r.report, r.found, nil
}
